// The modules on the plan, as handles that a hand drags and keys move.
import { make, put } from "./controls.js";
import { Grips } from "./grips.js";
import { placed } from "./draw.js";
import { length } from "./units.js";
import { clamp, round } from "./state.js";

// Handles are one node for each module. page has scene, state(), changed(settled, busy, run) and cancel().
export class Handles {
  constructor(page, frame) {
    Object.assign(this, { page, frame, root: frame.root.querySelector(".handles"), grips: new Grips(page, frame) });
  }

  // forget lets them be made anew, for another version of the scene.
  forget() { delete this.root.dataset.made; this.grips.forget(); }

  // place puts the handles where the modules are, and makes them anew where their number changes.
  place() {
    if (!this.frame.perMM) return;
    const { rails } = this.page.state();
    const wanted = rails.flatMap((rail, r) => rail.modules.map((_, i) => `${r},${i}`)).join(" ");
    if (this.root.dataset.made !== wanted) {
      this.root.dataset.made = wanted;
      this.root.replaceChildren(...rails.flatMap((rail, r) => rail.modules.map((_, i) => this.make(r, i))));
    }
    for (const node of this.root.children) node.show();
    this.grips.place();
  }

  make(r, i) {
    const { page, frame } = this, own = page.scene.rails[r];
    const node = make("div", { className: "handle", tabIndex: 0 }, make("span", { textContent: String(i + 1) }));
    const at = () => page.state().rails[r].modules[i];
    const board = () => own.modules[at().like];
    const low = () => Math.min(own.left_mm + board().length_mm / 2, at().x_mm), high = () => Math.max(own.left_mm + own.length_mm - board().length_mm / 2, at().x_mm);
    const move = (x) => { at().x_mm = round(clamp(x, low(), high()), 1); page.changed(false); };
    node.setAttribute("role", "slider");
    node.setAttribute("aria-label", `module ${page.scene.rails.length > 1 ? `${own.name}:` : ""}${i + 1}`);
    node.setAttribute("aria-orientation", "horizontal");
    node.addEventListener("focus", () => { if (String(page.chosen) !== String([r, i])) page.choose(r, i); });
    node.show = () => {
      node.classList.toggle("chosen", String(page.chosen) === String([r, i]));
      const state = page.state().rails[r];
      const [x, y] = placed(own, state, at().x_mm), turn = own.turn_deg + board().turn_deg;
      node.style.transform = turn ? `translate(-50%, -50%) rotate(${-turn}deg)` : "";
      node.firstChild.style.rotate = turn ? `${turn}deg` : "";
      Object.assign(node.style, { left: `${frame.x(x)}px`, top: `${frame.y(y)}px`, width: `${board().length_mm * frame.perMM}px`, height: `${board().width_mm * frame.perMM * Math.cos(state.tilt_deg * Math.PI / 180)}px` });
      put(node, { "aria-valuemin": low(), "aria-valuemax": high(), "aria-valuenow": at().x_mm, "aria-valuetext": `x ${length(at().x_mm, 0.1)}, ${board().part}` });
    };
    node.addEventListener("keydown", (event) => {
      const step = event.shiftKey ? 10 : 1;
      const to = { ArrowLeft: at().x_mm - step, ArrowDown: at().x_mm - step, ArrowRight: at().x_mm + step, ArrowUp: at().x_mm + step, Home: low(), End: high() }[event.key];
      if (to === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      move(to);
    });
    node.addEventListener("keyup", (event) => page.changed(true, null, event.key.startsWith("Arrow") ? `${r},${i}` : ""));
    this.listenToPointer(node, at, move, own.turn_deg * Math.PI / 180);
    return node;
  }

  // listenToPointer lets a pointer drag a handle; letGo ends the drag, and one that the system breaks off is put back.
  // A turned rail's modules follow what of the way runs along it.
  listenToPointer(node, at, move, turn) {
    const { page, frame } = this, along = (event) => (event.clientX * Math.cos(turn) - event.clientY * Math.sin(turn)) / frame.perMM;
    node.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      node.setPointerCapture(event.pointerId);
      node.letGo = () => node.releasePointerCapture(event.pointerId);
      node.classList.add("held");
      node.grip = at().x_mm - along(event);
    });
    node.addEventListener("pointermove", (event) => {
      if (node.hasPointerCapture(event.pointerId)) move(node.grip + along(event));
    });
    node.addEventListener("pointercancel", () => page.cancel());
    node.addEventListener("lostpointercapture", () => { node.classList.remove("held"); page.changed(true); });
  }
}
