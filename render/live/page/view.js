// Which plane and which cut are shown, what stands under the pointer, and whether the light has settled.
import { put } from "./controls.js";
import { length } from "./units.js";
import { ownPlace } from "./draw.js";
import { margin, number, valueAt } from "./picture.js";

const markMS = 100; // quicker answers are settled as a hand sees it

const $ = (id) => document.getElementById(id);
const say = (id, text) => { if ($(id).textContent !== text) $(id).textContent = text; };

// holds tells whether an outline has a place inside; a rectangle has no corners of its own.
const holds = (corners, x, y) => !corners.length || corners.reduce((inside, [ax, ay], i) => {
  const [bx, by] = corners[(i + 1) % corners.length];
  return inside !== ((ay > y) !== (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax));
}, false);

function onRail(rail, state, place, near) {
  const [along, across] = ownPlace(rail, state, place);
  return Math.abs(across) <= Math.max(rail.width_mm / 2, near) && along >= rail.left_mm && along <= rail.left_mm + rail.length_mm;
}

// viewing are the methods of a page that deal with what it shows.
export const viewing = {
  listenToView() {
    const depth = $("plane-depth");
    depth.addEventListener("input", () => this.look({ depth_mm: depth.valueAsNumber }, false));
    depth.addEventListener("change", () => this.look({ depth_mm: depth.valueAsNumber }, true));
    $("plane-goal").addEventListener("click", () => { this.look({ depth_mm: null }, true); depth.focus(); });
    $("cut-way").addEventListener("change", () => this.look({ across: $("cut-way").value === "across", cut_mm: $("cut-way").value === "across" ? this.scene.length_mm / 2 : null }, true));
    for (const [name, frame] of [["plan", this.pictures.plan], ["cut", this.pictures.cut]]) {
      $(name).addEventListener("pointermove", (event) => this.point(event, name, frame));
      $(name).addEventListener("pointerleave", () => { this.under = null; this.sayHere(); });
      $(name).addEventListener("click", (event) => this.pick(event, name, frame));
    }
  },

  look(view, settled) {
    Object.assign(this.view, view);
    this.ask(settled);
    this.redraw();
  },

  // cutAt is where the slice is, across or along.
  cutAt() { return this.view.cut_mm ?? this.answer?.head.section.at_mm ?? this.scene.width_mm / 2; },

  // mark says whether the light that is shown is that of the controls; markSoon says it of an answer that takes a while.
  markSoon() { this.marking ||= setTimeout(() => this.mark(), markMS); },
  mark() {
    const busy = document.body.dataset.state === "busy";
    clearTimeout(this.marking);
    this.marking = 0;
    document.body.classList.toggle("settled", !busy);
    document.body.classList.toggle("settling", busy);
    say("mark", busy ? "settling" : "settled");
  },

  sayTitles(head) {
    const { plane, section } = head, depth = `${length(plane.depth_mm)} under the surface`;
    say("plan-title", this.scene.named_plane && plane.goals ? `Plan: ${this.scene.plane}, ${depth}` : `Plan: ${depth}`);
    say("cut-title", section.across ? `Slice across the tank at x = ${length(section.at_mm)}, from the left` : `Slice along the tank at y = ${length(section.at_mm)}, from the front`);
    const slider = $("plane-depth");
    put(slider, { max: Math.floor(this.now.depth_mm), "aria-valuetext": depth });
    if (document.activeElement !== slider || this.view.depth_mm === null) put(slider, { value: plane.depth_mm });
    say("plane-depth-says", `${length(plane.depth_mm)} deep`);
    put($("plane-goal"), { hidden: plane.goals });
  },

  // spot is where on a picture a pointer is, as shares of its field and in mm; null beside it.
  spot(event, name, frame) {
    const box = frame.root.getBoundingClientRect();
    const x = (event.clientX - box.left - margin.left) / frame.perMM, y = (frame.bottom - (event.clientY - box.top)) / frame.perMM;
    const high = name === "plan" ? frame.high : this.now.depth_mm;
    return { name, x, y, sx: x / frame.wide, sy: y / high, inside: x >= 0 && x <= frame.wide && y >= 0 && y <= high && (name !== "plan" || holds(this.scene.outline_mm, x, y)) };
  },

  point(event, name, frame) {
    if (!this.answer) return;
    const at = this.spot(event, name, frame);
    this.under = at.inside ? at : null;
    this.sayHere();
  },
  sayHere() {
    const { under, answer } = this;
    if (!under || !answer) return say("here", "");
    const plan = under.name === "plan", { section } = answer.head;
    const value = (q) => number(plan ? valueAt(this.pictures.field(answer, q), under.sx, under.sy) : valueAt(this.pictures.slice(answer, q), under.sx, 1 - under.sy));
    const place = plan ? `x ${length(under.x)}, y ${length(under.y)}` : `${section.across ? "y" : "x"} ${length(under.x)}, ${length(this.now.depth_mm - under.y)} deep`;
    return say("here", `${place}: ${value("lux")} lx, ${value("ppfd")} \u00b5mol/m\u00b2/s`);
  },

  // pick selects what was clicked on: a rail, an obstacle, the cover, the water, a wall or the floor.
  pick(event, name, frame) {
    if (event.target.closest(".handle, .grip") || !this.answer) return;
    const { scene, now } = this, at = this.spot(event, name, frame), near = 8 / frame.perMM;
    const rail = scene.rails.findIndex((r, i) => (name === "plan" ? onRail(r, now.rails[i], [at.x, at.y], near)
      : at.y >= now.depth_mm + now.rails[i].height_mm - near && at.y <= now.depth_mm + now.rails[i].height_mm + r.thickness_mm + near));
    if (rail >= 0) return this.open(`rail-${rail}`);
    const across = name === "cut" && this.answer.head.section.across ? 1 : 0, up = name === "cut" ? 2 : 1;
    const box = scene.boxes.findIndex((b) => at.x >= b.low_mm[across] && at.x <= b.high_mm[across] && at.y >= b.low_mm[up] && at.y <= b.high_mm[up]);
    if (box >= 0) return this.open(`obstacle-${box}`);
    if (name === "cut" && scene.cover && at.y >= now.depth_mm + scene.cover.from_mm - near && at.y <= now.depth_mm + scene.cover.to_mm + near) return this.open("cover");
    const outside = name === "plan" && !holds(scene.outline_mm, at.x, at.y);
    const edge = outside || at.x <= near || at.x >= frame.wide - near || (name === "plan" && (at.y <= near || at.y >= frame.high - near));
    if (edge) return this.open("walls");
    if (name === "plan" || at.y <= near) return this.open(name === "plan" ? "goal" : "floor");
    return this.open(at.y <= now.depth_mm ? "water" : "tank");
  },
};
