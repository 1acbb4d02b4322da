// The two pictures: the plan of the goal's plane as seen from above, front edge at the bottom, and the slice along the tank.
import { length } from "./units.js";
import { Frame, css, paint, margin, signed } from "./picture.js";

const names = { lux: "lx", ppfd: "\u00b5mol/m\u00b2/s" };

// polygon is what clips a node to corners in its own pixels; none where there are no corners.
const polygon = (corners) => (corners.length ? `polygon(${corners.map(([x, y]) => `${x}px ${y}px`).join(", ")})` : "");

// placed is where a place along a rail is, in mm.
export function placed(rail, state, x) {
  const middle = rail.left_mm + rail.length_mm / 2, turn = rail.turn_deg * Math.PI / 180;
  return [middle + (x - middle) * Math.cos(turn), state.y_mm + (x - middle) * Math.sin(turn)];
}

// ownPlace is where a place in mm is in a rail's own axes: along it, as its modules count, and to its back.
export function ownPlace(rail, state, [x, y]) {
  const middle = rail.left_mm + rail.length_mm / 2, turn = rail.turn_deg * Math.PI / 180;
  return [middle + (x - middle) * Math.cos(turn) + (y - state.y_mm) * Math.sin(turn), (y - state.y_mm) * Math.cos(turn) - (x - middle) * Math.sin(turn)];
}

// board is the corners of a rectangle about a place along a rail, from left to right and front to back in mm.
function board(rail, state, from, to, half, turned = 0) {
  const [x, y] = placed(rail, state, (from + to) / 2), turn = (rail.turn_deg + turned) * Math.PI / 180, long = (to - from) / 2;
  return [[-long, -half], [long, -half], [long, half], [-long, half]].map(([a, b]) => [x + a * Math.cos(turn) - b * Math.sin(turn), y + a * Math.sin(turn) + b * Math.cos(turn)]);
}

export class Pictures {
  constructor(scene, table) {
    Object.assign(this, { scene, table, plan: new Frame(document.getElementById("plan")), cut: new Frame(document.getElementById("cut")) });
    this.held = {};
  }

  // room is what the page leaves for pictures: the column's pixels across, and those above them. It stays while a slider moves.
  room(moving) {
    const window = `${innerWidth} ${innerHeight} ${document.getElementById("pictures").className}`;
    if (!moving || this.measured?.window !== window) {
      const column = document.querySelector(".plan .caption").clientWidth - margin.left - margin.right;
      this.measured = { window, column, tops: document.querySelector("header").offsetHeight + document.getElementById("outcome").offsetHeight + 150 };
    }
    return this.measured;
  }

  // layout gives both pictures the same scale, as large as the window holds. Their room grows with the rails once a
  // slider is let go, and stays while it moves.
  layout(state, { moving, view }) {
    const { scene } = this;
    const tall = Math.max(scene.height_mm, state.depth_mm + Math.max(...state.rails.map((r, i) => r.height_mm + scene.rails[i].thickness_mm)));
    if (!moving || !this.high) this.high = Math.max(this.high || 0, Math.ceil((tall + 10) / 50) * 50);
    const { high } = this, section = document.getElementById("pictures"), along = view.across ? scene.width_mm : scene.length_mm;
    const beside = innerWidth > 1080 && scene.length_mm < 1.5 * scene.width_mm;
    section.classList.toggle("beside", beside);
    const { column, tops } = this.room(moving);
    const room = innerHeight - tops - (beside ? 1 : 2) * (margin.top + margin.ruler + margin.bar);
    // On a low window the pictures reach below its edge, the plan alone as little as can be.
    const least = innerHeight <= 520 ? (innerHeight - 140) / scene.width_mm : 0.8 * column / scene.length_mm;
    const perMM = Math.min(column / Math.max(scene.length_mm, along), Math.max(room / (beside ? Math.max(scene.width_mm, high) : scene.width_mm + high), least));
    this.plan.layout(scene.length_mm, scene.width_mm, perMM, column);
    this.cut.layout(along, high, perMM, column);
    const { plan, cut } = this;
    plan.place(plan.light, margin.left, margin.top, scene.length_mm * perMM, scene.width_mm * perMM);
    cut.place(cut.light, margin.left, cut.y(state.depth_mm), along * perMM, state.depth_mm * perMM);
    plan.light.style.clipPath = polygon(scene.outline_mm.map(([x, y]) => [x * perMM, (scene.width_mm - y) * perMM]));
  }

  // field is the light of one quantity on the plane.
  field(answer, quantity) { return { values: answer[quantity], nx: answer.head.plane.nx, ny: answer.head.plane.ny }; }
  slice(answer, quantity) { return { values: answer.cut[quantity], nx: answer.head.section.n, ny: answer.head.section.nz }; }

  scale(answer, quantity, hold) {
    if (!hold) this.held = {};
    this.held[quantity] ||= { plan: answer.head.plane[quantity].scale, cut: quantity === "lux" ? answer.head.section.scale : answer.head.section.ppfd_scale };
    return this.held[quantity];
  }

  draw({ state, answer, quantity, hold, page }) {
    this.layout(state, page);
    this.page = page;
    const scales = this.scale(answer, quantity, hold);
    const { table, scene } = this, { moving } = page;
    const shown = this.shown(answer, quantity, scales.plan);
    paint(this.plan.light, { ...shown.field, scale: shown.scale, table: shown.table, flip: true, moving });
    paint(this.cut.light, { ...this.slice(answer, quantity), scale: scales.cut, table, moving });
    const { goal } = answer.head; // a daily goal has a level of PPFD too
    const level = scene.goal[quantity] || ((goal.quantity === "PPFD") === (quantity === "ppfd") ? goal.level : 0);
    this.drawPlan(state, answer, quantity, shown, level);
    this.drawCut(state, answer, quantity, scales.cut, level);
  }

  // shown is what the plan shows: the light, or by how much two states differ.
  shown(answer, quantity, scale) {
    const field = this.page.pins.difference(quantity), { against } = this.page.pins;
    document.getElementById("plan-change").textContent = against && !field ? ": the change is not known" : "";
    if (!field) return { field: this.field(answer, quantity), scale, table: this.table, colours: this.scene.colours, unit: names[quantity] };
    const most = field.values.reduce((a, v) => Math.max(a, Math.abs(v)), 0);
    return { field, ...signed(most), unit: `${names[quantity]}, blue: less, red: more`, most };
  }

  // chosen tells whether a thing is selected, and boxes are the obstacles as they are dragged.
  chosen(...ids) { return ids.includes(this.page.selected); }
  boxes() { return this.scene.boxes.map((_, i) => this.page.handles.grips.sought(i)); }

  drawPlan(state, answer, quantity, { field, scale, colours, unit, most }, level) {
    const { plan, scene } = this, { plane, section } = answer.head;
    const goal = most === undefined ? level : undefined, highest = most ?? plane[quantity].max;
    plan.clear();
    plan.contours(field, { left: 0, bottom: 0, right: scene.length_mm, top: scene.width_mm }, scale, goal, highest);
    const z = state.depth_mm - plane.depth_mm;
    this.boxes().forEach((b, i) => {
      const [l, f, low] = b.low_mm, [r, k, high] = b.high_mm;
      const within = low <= z && z < high - 0.001; // no figure counts what is inside
      plan.rect(Math.max(l, 0), Math.max(f, 0), Math.min(r, scene.length_mm), Math.min(k, scene.width_mm), { stroke: this.chosen(`obstacle-${i}`) ? css("--focus") : "rgb(255 255 255 / 75%)", dash: [5, 4], width: this.chosen(`obstacle-${i}`) ? 2.5 : 1.25, fill: within ? css("--rail") : undefined });
    });
    for (const solid of scene.solids) for (const line of solid.seen_mm) plan.shape(line, { stroke: "rgb(255 255 255 / 75%)", open: true });
    for (const p of scene.plants) plan.rect(p.low_mm[0], p.low_mm[1], p.high_mm[0], p.high_mm[1], { stroke: "rgb(255 255 255 / 80%)", dash: [2, 4] });
    if (scene.floating) {
      const [left, front, right, back] = scene.floating.area_mm;
      plan.rect(left, front, Math.min(right, scene.length_mm), Math.min(back, scene.width_mm), { stroke: "rgb(255 255 255 / 80%)", dash: [2, 4] });
    }
    if (scene.outline_mm.length) plan.without(scene.outline_mm);
    scene.rails.forEach((rail, i) => {
      const y = state.rails[i].y_mm, half = rail.width_mm / 2;
      if (rail.turn_deg) {
        const chosen = this.chosen(`rail-${i}`, `bar-${i}`), end = rail.left_mm + rail.length_mm;
        plan.shape(board(rail, state.rails[i], rail.left_mm, end, half), { stroke: "rgb(16 18 28 / 45%)", width: 2.6 });
        plan.shape(board(rail, state.rails[i], rail.left_mm, end, half), { stroke: chosen ? css("--focus") : "rgb(255 255 255 / 80%)", width: chosen ? 2.2 : 1.1 });
        for (const [from, to] of rail.keep_outs_mm) plan.shape(board(rail, state.rails[i], from, to, half), { fill: "rgb(255 255 255 / 45%)" });
        return;
      }
      const left = Math.max(rail.left_mm, -20), right = Math.min(rail.left_mm + rail.length_mm, scene.length_mm + 8);
      plan.rect(left, y - half, right, y + half, { stroke: "rgb(16 18 28 / 45%)", width: 2.6 });
      plan.rect(left, y - half, right, y + half, { stroke: this.chosen(`rail-${i}`, `bar-${i}`) ? css("--focus") : "rgb(255 255 255 / 80%)", width: this.chosen(`rail-${i}`, `bar-${i}`) ? 2.2 : 1.1 });
      for (const [from, to] of rail.keep_outs_mm) plan.rect(from, y - half, to, y + half, { fill: "rgb(255 255 255 / 45%)" });
    });
    plane.dark.forEach((d) => plan.area([`dark: ${d.where}`, "dark"], d.area_mm, [3, 3]));
    for (const part of answer.head.goal.parts.filter((p) => p.outlined)) plan.area([part.name], part.area_mm);
    plan.line(section.across ? [section.at_mm, 0, section.at_mm, scene.width_mm] : [0, section.at_mm, scene.length_mm, section.at_mm]);
    const around = scene.outline_mm.length ? scene.outline_mm : [[0, 0], [scene.length_mm, 0], [scene.length_mm, scene.width_mm], [0, scene.width_mm]];
    plan.shape(around, { stroke: this.chosen("walls") ? css("--focus") : css("--wall"), width: this.chosen("walls") ? 3 : 1.5 });
    plan.rulers();
    plan.text("back wall", margin.left, margin.top - 5);
    plan.text("front", (margin.left + plan.right) / 2, plan.bottom + 33, { align: "center" });
    plan.bar(scale, colours, unit, goal, highest);
    const [low, high] = [plane[quantity].min, plane[quantity].max].map(Math.round);
    plan.lines.setAttribute("aria-label", `plan of the ${most === undefined ? "light" : `change from ${this.page.pins.against.join(" to ")}`}, seen from above, front at the bottom; from ${low} to ${high} ${names[quantity]}${plane.dark.length ? `; dark: ${plane.dark.map((d) => d.where).join(", ")}` : ""}`);
  }

  drawCut(state, answer, quantity, scale, goal) {
    const { cut, scene } = this, { section } = answer.head;
    const depth = state.depth_mm, axis = section.across ? 1 : 0, wide = section.across ? scene.width_mm : scene.length_mm;
    if (wide !== cut.wide) return; // the other slice is on its way
    cut.clear();
    const spans = [];
    for (let i = 0; i + 1 < section.spans_mm.length; i += 2) spans.push(section.spans_mm.slice(i, i + 2));
    for (const [from, to] of spans) cut.rect(from, depth, to, cut.high, { fill: css("--air") });
    cut.light.style.clipPath = spans.length === 1 && spans[0][0] === 0 && spans[0][1] === wide ? "" : polygon(spans.flatMap(([from, to]) => [[from, depth], [from, 0], [to, 0], [to, depth]]).map(([x, y]) => [x * cut.perMM, y * cut.perMM]));
    const highest = answer.cut[quantity].reduce((a, b) => Math.max(a, b), 0);
    cut.contours(this.slice(answer, quantity), { left: 0, bottom: 0, right: wide, top: depth, down: true }, scale, goal, highest);
    let end = 0;
    for (const [from, to] of [...spans, [wide, wide]]) { cut.blank(end, 0, from, depth); end = to; }
    const rays = new Path2D();
    for (const ray of section.rays_mm) {
      for (let k = 0; k + 1 < ray.length; k += 2) rays[k ? "lineTo" : "moveTo"](cut.x(ray[k]), cut.y(ray[k + 1]));
    }
    cut.ctx.save();
    cut.ctx.beginPath();
    cut.ctx.rect(margin.left, margin.top, cut.right - margin.left, cut.bottom - margin.top);
    cut.ctx.clip();
    cut.ctx.lineWidth = 1; cut.ctx.strokeStyle = "rgb(150 150 150 / 70%)"; cut.ctx.setLineDash([6, 5]); cut.ctx.stroke(rays); cut.ctx.setLineDash([]);
    for (const p of scene.plants) {
      if (section.at_mm >= p.low_mm[1 - axis] && section.at_mm <= p.high_mm[1 - axis]) cut.rect(p.low_mm[axis], p.low_mm[2], p.high_mm[axis], p.high_mm[2], { fill: "rgb(90 160 70 / 35%)", stroke: "rgb(34 96 40)" });
    }
    for (let i = 0; i + 1 < section.floating_mm.length; i += 2) cut.rect(section.floating_mm[i], depth, section.floating_mm[i + 1], depth + 3 / cut.perMM, { fill: "rgb(34 96 40)" });
    for (const corners of section.solids_mm) cut.shape(corners, { fill: css("--rail"), stroke: css("--soft") });
    for (const line of section.ground_mm) cut.shape([...line, [line.at(-1)[0], 0], [line[0][0], 0]], { fill: css("--ground"), stroke: css("--soft") });
    for (const b of this.boxes()) cut.rect(b.low_mm[axis], b.low_mm[2], b.high_mm[axis], b.high_mm[2], { fill: css("--rail"), stroke: css("--soft") });
    if (scene.cover) cut.rect(0, depth + scene.cover.from_mm, wide, depth + scene.cover.to_mm, { fill: css("--rail"), stroke: this.chosen("cover") ? css("--focus") : css("--soft"), width: this.chosen("cover") ? 2 : 0.75 });
    scene.rails.forEach((rail, i) => this.drawRail(rail, state.rails[i], depth, section));
    cut.ctx.restore();
    for (const [from, to] of spans) cut.rect(from, 0, to, Math.min(scene.height_mm, cut.high), { stroke: css("--wall"), width: 1.5 });
    cut.rulers();
    cut.text(section.across ? "front" : "left", margin.left, cut.bottom + 33);
    cut.text(section.across ? "back wall" : "right", cut.right, cut.bottom + 33, { align: "right" });
    cut.bar(scale, scene.colours, names[quantity], goal, highest);
    cut.lines.setAttribute("aria-label", section.across ? `slice across the tank at x = ${length(section.at_mm)}, seen from the left` : `slice along the tank at y = ${length(section.at_mm)}, seen from the front`);
  }

  drawRail(rail, state, depth, section) {
    const { cut } = this, face = depth + state.height_mm;
    if (rail.turn_deg) return this.drawTurned(rail, state, face, section.across ? 1 : 0);
    if (section.across) {
      const half = rail.width_mm / 2;
      cut.rect(state.y_mm - half, face, state.y_mm + half, face + rail.thickness_mm, { fill: css("--rail"), stroke: css("--soft") });
      const board = Math.max(...state.modules.map((m) => rail.modules[m.like].width_mm)) / 2;
      cut.rect(state.y_mm - board, face - 3, state.y_mm + board, face + 4, { fill: css("--ink") });
      return;
    }
    cut.ctx.globalAlpha = Math.abs(state.y_mm - section.at_mm) > rail.width_mm / 2 ? 0.45 : 1;
    cut.rect(rail.left_mm, face, rail.left_mm + rail.length_mm, face + rail.thickness_mm, { fill: css("--rail"), stroke: css("--soft") });
    for (const m of state.modules) {
      const board = rail.modules[m.like];
      cut.rect(m.x_mm - board.length_mm / 2, face - 3, m.x_mm + board.length_mm / 2, face + 4, { fill: css("--ink") });
    }
    cut.ctx.globalAlpha = 1;
  }
  // drawTurned draws a turned rail as it is seen from the front, or from the left.
  drawTurned(rail, state, face, axis) {
    const { cut } = this, ends = [rail.left_mm, rail.left_mm + rail.length_mm];
    const span = (corners) => [Math.min(...corners.map((c) => c[axis])), Math.max(...corners.map((c) => c[axis]))];
    const [left, right] = span(board(rail, state, ...ends, rail.width_mm / 2));
    cut.rect(left, face, right, face + rail.thickness_mm, { fill: css("--rail"), stroke: css("--soft") });
    for (const m of state.modules) {
      const own = rail.modules[m.like], [from, to] = span(board(rail, state, m.x_mm - own.length_mm / 2, m.x_mm + own.length_mm / 2, own.width_mm / 2, own.turn_deg));
      cut.rect(from, face - 3, to, face + 4, { fill: css("--ink") });
    }
  }
}
