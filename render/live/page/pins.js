// Before and after: states that are pinned, held against the one on the screen, figure by figure.
import { body, light } from "./ask.js";
import { make } from "./controls.js";
import { number, paint, valueAt } from "./picture.js";
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

// changesOf says by how much mean and uniformity have changed, empty where they have not.
export function changesOf(now, was, photons) {
  const before = figuresOf(was, photons);
  return figuresOf(now, photons).slice(0, 2).map(([id, value], i) => [names[id], change(id, value, before[i][1])]).filter(([, by]) => by !== "\u00b10").map(([name, by]) => `${name} ${by}`).join(", ");
}

export class Pins {
  constructor(page) {
    Object.assign(this, { page, list: [], next: 0 });
    $("pin").addEventListener("click", () => this.pin());
    $("against").addEventListener("change", () => page.redraw());
    this.show();
  }

  pin() {
    const { page } = this;
    if (!page.answer || document.body.dataset.state === "busy") return;
    const plan = make("canvas", { className: "small-plan", width: 96, height: Math.max(12, Math.min(96, Math.round(96 * page.scene.width_mm / page.scene.length_mm))) });
    const { length_mm, width_mm } = page.scene;
    this.list.push({ name: String.fromCharCode(65 + this.next++ % 26), state: copy(page.state()), head: page.answer.head, plan, size: `${length_mm} ${width_mm}` });
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
    this.offer();
    page.sheets?.mark();
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
    const first = figuresOf(list[0].head, photons); // the others are held against
    const figure = ([id, value, words], i) => make("td", {}, words, ...(value === first[i][1] ? [] : [make("small", { textContent: ` ${change(id, value, first[i][1])}` })]));
    const lines = rows.map((row, i) => make("tr", {}, cell("th", names[row[0]], "row"), ...list.map((p) => figure(figuresOf(p.head, photons)[i], i)), figure(row, i)));
    lines.push(make("tr", {}, cell("th", "goal", "row"), ...list.map((p) => cell("td", goal(p.head))), cell("td", goal(now))));
    $("pin-table").replaceChildren(make("thead", {}, make("tr", {}, cell("td", photons ? "\u00b5mol/m\u00b2/s" : "lx"), ...heads, cell("th", "now", "col"))), make("tbody", {}, ...lines));
  }

  // offer lists what the plan can show: the light, or how much two states differ.
  offer() {
    const states = [...this.list.map((p) => p.name), "now"], pairs = [];
    states.forEach((to, i) => { if (i) states.slice(0, i).forEach((from) => pairs.push([`${from} ${to}`, to === "now" ? `change since ${from}` : `change from ${from} to ${to}`])); });
    const select = $("against"), { value } = select;
    if (select.options.length === pairs.length + 1 && pairs.every(([v], i) => select.options[i + 1].value === v)) return;
    select.replaceChildren(...[["", "the light"], ...pairs.reverse()].map(([v, textContent]) => make("option", { value: v, textContent })));
    select.value = pairs.some(([v]) => v === value) ? value : "";
    select.parentElement.hidden = !pairs.length;
  }
  // against are the names of the two states whose difference is shown, null where the plan shows the light.
  get against() { return $("against").value ? $("against").value.split(" ") : null; }

  // seen is the light of a pin on the plane that is shown; where it is not known yet it is asked for, and null.
  seen(name) {
    const { page } = this, pin = this.list.find((p) => p.name === name);
    if (name === "now") return page.answer;
    const { length_mm, width_mm } = page.scene;
    if (!pin || pin.size !== `${length_mm} ${width_mm}`) return null;
    const question = body({ ...pin.state, view: page.view });
    if (pin.asked !== question) {
      Object.assign(pin, { asked: question, light: null });
      light(question).then((a) => { if (pin.asked === question && !a.refused) { pin.light = a; page.redraw(); } }).catch(() => {});
    }
    return pin.light;
  }

  // difference is by how much the second state is brighter than the first, cell by cell; null where that is not known.
  difference(quantity) {
    if (!this.against) return null;
    const [from, to] = this.against.map((name) => this.seen(name));
    if (!from || !to) return null;
    const [a, b] = [from.head.plane, to.head.plane];
    if (!(a.goals && b.goals) && a.depth_mm !== b.depth_mm) return null;
    const field = this.page.pictures.field(to, quantity), was = this.page.pictures.field(from, quantity), { nx, ny } = field;
    const values = Float32Array.from(field.values, (v, i) => v - valueAt(was, (i % nx + 0.5) / nx, (Math.floor(i / nx) + 0.5) / ny));
    return { values, nx, ny };
  }

  // query asks for all pins and the screen as a comparison.
  query() {
    const now = body(this.page.state()), all = this.list.map((p) => [p.name, body(p.state)]);
    if (!all.some(([, state]) => state === now)) all.push(["now", now]);
    return all.map(([name, state]) => new URLSearchParams({ name, state })).join("&");
  }
}
