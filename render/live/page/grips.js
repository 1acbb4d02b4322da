// What else a hand drags on the pictures: rails across the tank, obstacles and their corners, the line of the cut. Each
// grip is a node that a pointer drags and arrow keys move; what it moves is a place in mm.
import { make, put } from "./controls.js";
import { placed } from "./draw.js";
import { length } from "./units.js";
import { clamp, round } from "./state.js";

// grip makes one. at() is its place { x, y } in mm, move(place) previews and drop() settles; way is x, y or both.
function grip(frame, { kind, label, way, at, box, move, drop, chosen, cancel }) {
  const node = make("div", { className: `grip ${kind}`, tabIndex: 0, title: label });
  node.setAttribute("role", way === "both" ? "button" : "slider");
  node.setAttribute("aria-label", label);
  if (way !== "both") node.setAttribute("aria-orientation", way === "y" ? "vertical" : "horizontal");
  node.show = () => {
    const { x, y } = at(), size = box?.();
    Object.assign(node.style, { left: `${frame.x(x)}px`, top: `${frame.y(y)}px`, width: size ? `${size[0] * frame.perMM}px` : "", height: size ? `${size[1] * frame.perMM}px` : "" });
    if (way === "both") put(node, { "aria-description": `x ${length(x, 0.1)}, y ${length(y, 0.1)}` });
    else put(node, { "aria-valuetext": `${way} ${length(way === "y" ? y : x, 0.1)}`, "aria-valuenow": round(way === "y" ? y : x, 0.1) });
  };
  const held = () => node.classList.contains("held");
  let from = null;
  node.addEventListener("focus", () => chosen?.());
  node.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    node.setPointerCapture(event.pointerId);
    node.classList.add("held");
    node.letGo = () => { node.classList.remove("held"); node.releasePointerCapture(event.pointerId); cancel?.(); };
    from = { ...at(), left: event.clientX, top: event.clientY };
    event.stopPropagation();
  });
  node.addEventListener("pointermove", (event) => {
    if (!node.hasPointerCapture(event.pointerId) || !held()) return;
    move({ x: round(from.x + (way === "y" ? 0 : event.clientX - from.left) / frame.perMM, 1), y: round(from.y - (way === "x" ? 0 : event.clientY - from.top) / frame.perMM, 1) });
    node.show();
  });
  node.addEventListener("pointercancel", () => { node.classList.remove("held"); cancel?.(); });
  node.addEventListener("lostpointercapture", () => { if (held()) { node.classList.remove("held"); drop(); } });
  node.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 10 : 1, [dx, dy] = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] }[event.key] || [];
    if (dx === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    const { x, y } = at();
    move({ x: way === "y" ? x : x + (way === "x" ? dx || dy : dx), y: way === "x" ? y : y + (way === "y" ? dy || dx : dy) });
    node.show();
    clearTimeout(node.later);
    node.later = setTimeout(() => drop(event.key), 400);
  });
  return node;
}

// Grips are all of them on the plan. page has scene, state(), changed(), edit(), open(), view and sought().
export class Grips {
  constructor(page, frame) { Object.assign(this, { page, frame, root: frame.root.querySelector(".grips") }); }

  forget() { this.moved = null; delete this.root.dataset.made; }

  place() {
    if (!this.frame.perMM) return;
    const { scene } = this.page, made = `${scene.state.version} ${this.page.view.across}`;
    if (this.root.dataset.made !== made) {
      this.root.dataset.made = made;
      this.root.replaceChildren(...scene.rails.map((_, r) => this.rail(r)), ...scene.boxes.flatMap((_, i) => [this.box(i), this.corner(i)]), this.cut());
    }
    for (const node of this.root.children) node.show();
  }

  rail(r) {
    const { page, frame } = this, own = page.scene.rails[r], rail = () => page.state().rails[r];
    const off = -own.length_mm / 2 * Math.sin(own.turn_deg * Math.PI / 180); // of the end of a turned rail
    const { low_mm: low, high_mm: high } = page.scene.controls.y;
    return grip(frame, { kind: "rail", way: "y", label: `rail ${own.name}: drag it to the front or to the back`,
      at: () => ({ x: clamp(placed(own, rail(), own.left_mm)[0], 0, page.scene.length_mm), y: rail().y_mm + off }),
      move: ({ y }) => { rail().y_mm = clamp(clamp(y - off, 0, page.scene.width_mm), low, high); page.changed(false); },
      drop: (key) => page.changed(true, null, key ? `rail ${r}` : ""), cancel: () => page.cancel(), chosen: () => page.open(`rail-${r}`) });
  }

  // sought is the box of an obstacle as it is dragged, which the light follows once it is let go.
  sought(i) { return this.moved?.i === i ? this.moved : { i, ...this.page.scene.boxes[i] }; }
  drop() {
    const { moved } = this;
    if (!moved) return;
    const place = (at) => `[${at.map((v) => `${round(v, 0.1)} mm`).join(", ")}]`, path = ["tank", "obstacles", moved.i];
    this.page.edit([{ path: [...path, "from"], value: place(moved.low_mm) }, { path: [...path, "to"], value: place(moved.high_mm) }]).then((refused) => {
      if (!refused) return;
      this.moved = null;
      this.page.notice(refused, false);
      this.page.redraw();
    });
  }
  cancel() { this.moved = null; this.page.redraw(); }

  box(i) {
    const { page, frame } = this;
    return grip(frame, { kind: "box", way: "both", label: `obstacle ${page.scene.boxes[i].name}: drag it, or move it with the arrow keys`,
      at: () => { const { low_mm: l, high_mm: h } = this.sought(i); return { x: (l[0] + h[0]) / 2, y: (l[1] + h[1]) / 2 }; },
      box: () => { const { low_mm: l, high_mm: h } = this.sought(i); return [h[0] - l[0], h[1] - l[1]]; },
      move: ({ x, y }) => {
        const { low_mm: l, high_mm: h } = this.sought(i), wide = h[0] - l[0], deep = h[1] - l[1];
        const left = x - wide / 2, front = y - deep / 2;
        this.moved = { i, low_mm: [left, front, l[2]], high_mm: [left + wide, front + deep, h[2]] };
        page.redraw();
      },
      drop: () => this.drop(), cancel: () => this.cancel(), chosen: () => page.open(`obstacle-${i}`) });
  }

  corner(i) {
    const { page, frame } = this;
    return grip(frame, { kind: "corner", way: "both", label: `back right corner of obstacle ${page.scene.boxes[i].name}: drag it to resize`,
      at: () => { const { high_mm: h } = this.sought(i); return { x: h[0], y: h[1] }; },
      move: ({ x, y }) => {
        const { low_mm: l, high_mm: h } = this.sought(i);
        this.moved = { i, low_mm: l, high_mm: [Math.max(x, l[0] + 1), Math.max(y, l[1] + 1), h[2]] };
        page.redraw();
      },
      drop: () => this.drop(), cancel: () => this.cancel(), chosen: () => page.open(`obstacle-${i}`) });
  }

  // cut is the line at which the slice is.
  cut() {
    const { page, frame } = this, { scene, view } = page, way = view.across ? "x" : "y";
    const place = () => page.cutAt();
    return grip(frame, { kind: `cut ${way}`, way, label: `the cut of the slice: drag it ${way === "x" ? "along" : "across"} the tank`,
      at: () => (way === "x" ? { x: place(), y: 0 } : { x: scene.length_mm, y: place() }),
      move: ({ x, y }) => { view.cut_mm = clamp(way === "x" ? x : y, 0, way === "x" ? scene.length_mm : scene.width_mm); page.ask(false); page.redraw(); },
      drop: () => page.ask(true) });
  }
}
