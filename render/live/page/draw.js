// The two pictures: the plan of the goal's plane as seen from above, front edge at the bottom, and the slice along the tank.
import { Frame, css, paint, margin } from "./picture.js";

const names = { lux: "lx", ppfd: "\u00b5mol/m\u00b2/s" };

export class Pictures {
  constructor(scene, table) {
    Object.assign(this, { scene, table, plan: new Frame(document.getElementById("plan")), cut: new Frame(document.getElementById("cut")) });
    this.held = {};
  }

  // layout gives both pictures the same scale, as large as the window holds.
  layout(state) {
    const { scene } = this;
    const tall = Math.max(scene.height_mm, state.depth_mm + Math.max(...state.rails.map((r, i) => r.height_mm + scene.rails[i].thickness_mm)));
    const high = Math.ceil((tall + 10) / 50) * 50;
    const column = document.getElementById("plan-title").parentElement.clientWidth - margin.left - margin.right;
    const room = innerHeight - document.querySelector("header").offsetHeight - 150 - 2 * (margin.ruler + margin.bar);
    // On a low window the pictures reach below its edge, the plan alone as little as can be.
    const least = innerHeight <= 520 ? (innerHeight - 140) / scene.width_mm : 0.35 * column / scene.length_mm;
    const perMM = Math.min(column / scene.length_mm, Math.max(room / (scene.width_mm + high), least));
    this.plan.layout(scene.length_mm, scene.width_mm, perMM, column);
    this.cut.layout(scene.length_mm, high, perMM, column);
    const { plan, cut } = this;
    plan.place(plan.light, margin.left, margin.top, scene.length_mm * perMM, scene.width_mm * perMM);
    cut.place(cut.light, margin.left, cut.y(state.depth_mm), scene.length_mm * perMM, state.depth_mm * perMM);
  }

  // field is the light of one quantity on the plane.
  field(answer, quantity) { return { values: answer[quantity], nx: answer.head.plane.nx, ny: answer.head.plane.ny }; }
  slice(answer, quantity) { return { values: answer.cut[quantity], nx: answer.head.section.n, ny: answer.head.section.nz }; }

  scale(answer, quantity, hold) {
    if (!hold) this.held = {};
    this.held[quantity] ||= { plan: answer.head[quantity].scale, cut: quantity === "lux" ? answer.head.section.scale : answer.head.section.ppfd_scale };
    return this.held[quantity];
  }

  draw({ state, answer, quantity, hold }) {
    this.layout(state);
    const scales = this.scale(answer, quantity, hold);
    const { table, scene } = this;
    paint(this.plan.light, { ...this.field(answer, quantity), scale: scales.plan, table, flip: true });
    paint(this.cut.light, { ...this.slice(answer, quantity), scale: scales.cut, table });
    const { goal } = answer.head; // a daily goal has a level of PPFD too
    const level = scene.goal[quantity] || ((goal.quantity === "PPFD") === (quantity === "ppfd") ? goal.level : 0);
    this.drawPlan(state, answer, quantity, scales.plan, level);
    this.drawCut(state, answer, quantity, scales.cut, level);
  }

  drawPlan(state, answer, quantity, scale, goal) {
    const { plan, scene } = this;
    plan.clear();
    plan.contours(this.field(answer, quantity), { left: 0, bottom: 0, right: scene.length_mm, top: scene.width_mm }, scale, goal);
    const z = state.depth_mm - answer.head.plane.depth_mm;
    for (const b of scene.boxes) {
      const [l, f, low] = b.low_mm, [r, k, high] = b.high_mm;
      const within = low <= z && z < high - 0.001; // no figure counts what is inside
      plan.rect(Math.max(l, 0), Math.max(f, 0), Math.min(r, scene.length_mm), Math.min(k, scene.width_mm), { stroke: "rgb(255 255 255 / 75%)", dash: [5, 4], fill: within ? css("--rail") : undefined });
    }
    scene.rails.forEach((rail, i) => {
      const y = state.rails[i].y_mm, half = rail.width_mm / 2;
      const left = Math.max(rail.left_mm, -20), right = Math.min(rail.left_mm + rail.length_mm, scene.length_mm + 8);
      plan.rect(left, y - half, right, y + half, { stroke: "rgb(16 18 28 / 45%)", width: 2.6 });
      plan.rect(left, y - half, right, y + half, { stroke: "rgb(255 255 255 / 80%)", width: 1.1 });
      for (const [from, to] of rail.keep_outs_mm) plan.rect(from, y - half, to, y + half, { fill: "rgb(255 255 255 / 45%)" });
    });
    for (const part of answer.head.goal.parts.filter((p) => p.outlined)) plan.area(part.name, part.area_mm);
    plan.rect(0, 0, scene.length_mm, scene.width_mm, { stroke: css("--wall"), width: 1.5 });
    plan.rulers();
    plan.bar(scale, scene.colours, names[quantity], goal, answer.head[quantity].max);
    plan.lines.setAttribute("aria-label", `plan of the light, seen from above, front at the bottom; from ${Math.round(answer.head[quantity].min)} to ${Math.round(answer.head[quantity].max)} ${names[quantity]}`);
  }

  drawCut(state, answer, quantity, scale, goal) {
    const { cut, scene } = this;
    const depth = state.depth_mm, y = answer.head.section.y_mm;
    cut.clear();
    cut.rect(0, depth, scene.length_mm, cut.high, { fill: css("--air") });
    cut.contours(this.slice(answer, quantity), { left: 0, bottom: 0, right: scene.length_mm, top: depth, down: true }, scale, goal);
    const rays = new Path2D();
    for (const ray of answer.head.section.rays_mm) {
      for (let k = 0; k + 1 < ray.length; k += 2) rays[k ? "lineTo" : "moveTo"](cut.x(ray[k]), cut.y(ray[k + 1]));
    }
    cut.ctx.save();
    cut.ctx.beginPath();
    cut.ctx.rect(margin.left, margin.top, cut.right - margin.left, cut.bottom - margin.top);
    cut.ctx.clip();
    cut.ctx.lineWidth = 1; cut.ctx.strokeStyle = "rgb(150 150 150 / 70%)"; cut.ctx.setLineDash([6, 5]); cut.ctx.stroke(rays); cut.ctx.setLineDash([]);
    for (const b of scene.boxes) cut.rect(b.low_mm[0], b.low_mm[2], b.high_mm[0], b.high_mm[2], { fill: css("--rail"), stroke: css("--soft") });
    if (scene.cover) cut.rect(0, depth + scene.cover.from_mm, scene.length_mm, depth + scene.cover.to_mm, { fill: css("--rail"), stroke: css("--soft"), width: 0.75 });
    scene.rails.forEach((rail, i) => this.drawRail(rail, state.rails[i], depth, y));
    cut.ctx.restore();
    cut.rect(0, 0, scene.length_mm, Math.min(scene.height_mm, cut.high), { stroke: css("--wall"), width: 1.5 });
    cut.rulers();
    cut.bar(scale, scene.colours, names[quantity], goal, answer.cut[quantity].reduce((a, b) => Math.max(a, b), 0));
    cut.lines.setAttribute("aria-label", `slice along the tank at y = ${Math.round(y)} mm, seen from the front`);
  }

  drawRail(rail, state, depth, y) {
    const { cut } = this;
    const face = depth + state.height_mm, faint = Math.abs(state.y_mm - y) > rail.width_mm / 2;
    cut.ctx.globalAlpha = faint ? 0.45 : 1;
    cut.rect(rail.left_mm, face, rail.left_mm + rail.length_mm, face + rail.thickness_mm, { fill: css("--rail"), stroke: css("--soft") });
    for (const m of state.modules) {
      const board = rail.modules[m.like];
      cut.rect(m.x_mm - board.length_mm / 2, face - 3, m.x_mm + board.length_mm / 2, face + 4, { fill: css("--ink") });
    }
    cut.ctx.globalAlpha = 1;
  }
}
