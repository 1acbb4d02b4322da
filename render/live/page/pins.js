// Before and after: states that are pinned, held against the one on the screen, figure by figure.
import { make } from "./controls.js";
import { number, paint } from "./picture.js";
import { copy } from "./state.js";

const $ = (id) => document.getElementById(id);
const most = 4;

// figuresOf are the figures of an answer that are compared: name, value, words, the node that shows it.
function figuresOf(head, photons) {
  const main = photons ? head.ppfd : head.lux, unit = photons ? "\u00b5mol/m\u00b2/s" : "lx";
  return [["mean", main.mean, number(main.mean), unit], ["even", main.min_over_mean, main.min_over_mean.toFixed(2), "U0"], ["min", main.min, number(main.min), unit],
    ["max", main.max, number(main.max), unit], ["watts", head.power_w, head.power_w.toFixed(1), "W"], ["lumens", head.lumens_lm, number(head.lumens_lm), "lm"]];
}
const names = { mean: "mean", even: "U0", min: "min", max: "max", watts: "W", lumens: "lm" };

// change says by how much a value has changed.
function change(id, now, was) {
  const by = now - was;
  if (id === "even") return Math.abs(by) < 0.005 ? "\u00b10" : `${by > 0 ? "+" : "\u2212"}${Math.abs(by).toFixed(2)}`;
  const percent = was ? 100 * by / was : 0;
  return Math.abs(percent) < 0.05 ? "\u00b10" : `${percent > 0 ? "+" : "\u2212"}${Math.abs(percent) < 10 ? Math.abs(percent).toFixed(1) : Math.round(Math.abs(percent))} %`;
}

export class Pins {
  constructor(page) {
    Object.assign(this, { page, list: [], next: 0 });
    $("pin").addEventListener("click", () => this.pin());
    this.show();
  }

  pin() {
    const { page } = this;
    if (!page.answer || document.body.dataset.state === "busy") return;
    const plan = make("canvas", { className: "small-plan", width: 96, height: Math.max(12, Math.min(96, Math.round(96 * page.scene.width_mm / page.scene.length_mm))) });
    this.list.push({ name: String.fromCharCode(65 + this.next++ % 26), state: copy(page.state()), head: page.answer.head, plan });
    if (this.list.length > most) this.list.shift();
    this.show();
    const quantity = $("quantity").value, { plane } = page.answer.head;
    paint(plan, { ...page.pictures.field(page.answer, quantity), scale: plane[quantity].scale, table: page.pictures.table, flip: true });
  }

  // show holds the figures against the newest pin, and all pins side by side.
  show() {
    const { page, list } = this, now = page.answer?.head, photons = page.scene.goal.photons, last = list.at(-1);
    const rows = now ? figuresOf(now, photons) : [];
    const was = last && figuresOf(last.head, photons);
    rows.forEach(([id, value], i) => { if (was) $(id).dataset.change = ` ${change(id, value, was[i][1])}`; else delete $(id).dataset.change; });
    $("pins").hidden = !list.length;
    if (!list.length || !now) return;
    const cell = (tag, text, scope) => make(tag, { textContent: text, ...(scope && { scope }) });
    const heads = list.map((p) => {
      const back = make("button", { type: "button", textContent: p.name, title: `show state ${p.name} again` });
      back.setAttribute("aria-label", `show state ${p.name} again`);
      back.addEventListener("click", () => { page.restore(p.state).then(() => page.changed(true)); });
      const off = make("button", { type: "button", textContent: "\u00d7", className: "off" });
      off.setAttribute("aria-label", `remove pin ${p.name}`);
      off.addEventListener("click", () => { this.list = this.list.filter((q) => q !== p); this.show(); $("pin").focus(); });
      return make("th", { scope: "col" }, back, off, p.plan);
    });
    const goal = (head) => (head.goal.asked ? (head.goal.met ? "met" : "not met") : "none");
    const lines = rows.map(([id, , words], i) => make("tr", {}, cell("th", names[id], "row"), ...list.map((p) => cell("td", figuresOf(p.head, photons)[i][2])), cell("td", words)));
    lines.push(make("tr", {}, cell("th", "goal", "row"), ...list.map((p) => cell("td", goal(p.head))), cell("td", goal(now))));
    $("pin-table").replaceChildren(make("thead", {}, make("tr", {}, cell("td", photons ? "\u00b5mol/m\u00b2/s" : "lx"), ...heads, cell("th", "now", "col"))), make("tbody", {}, ...lines));
  }
}
