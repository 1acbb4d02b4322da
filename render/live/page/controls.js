// Sliders with number fields, and lists, that show the state and change it. Every text goes in as text, never as markup.
import { clamp, isEven, mostThatFit, round, setCount, setSpacing, spacing, widestSpacing } from "./state.js";
import { inInches } from "./units.js";

const pauseMS = 900; // after which a number that is being typed counts as complete

export function make(tag, props = {}, ...children) {
  const node = Object.assign(document.createElement(tag), props);
  node.append(...children);
  return node;
}

// put sets those properties of a node that differ: what is set is laid out anew, changed or not. Keys with a hyphen are attributes.
export function put(node, props) {
  for (const [key, value] of Object.entries(props)) {
    if (key.includes("-")) {
      if (node.getAttribute(key) !== String(value)) node.setAttribute(key, value);
    } else if (String(node[key]) !== String(value)) node[key] = value;
  }
}

// spelt is how keys of the scene, and keyboards without the sign, write a unit.
const spelt = (unit) => (unit === "\u00b0" ? "deg" : unit.toLowerCase());
const amount = (v, unit) => `${round(v, 0.001)}${/^[\w%]/.test(unit) ? " " : ""}${unit}`;

// read turns what was typed into { v } or says { why } not. A comma is a decimal point, but 1,200 could be two numbers.
function read(typed, unit, { min, max }) {
  let text = typed.replaceAll(/\s/g, "").replace("\u2212", "-");
  const end = unit && [unit, spelt(unit)].find((u) => text.endsWith(u));
  if (end) text = text.slice(0, -end.length);
  const shown = `\u201c${typed.trim().slice(0, 20)}\u201d`;
  if (/^[-+]?[1-9]\d{0,2},\d{3}$/.test(text)) return { why: `${shown} may be ${text.replace(",", "")} or ${Number(text.replace(",", "."))}; write one of them` };
  if (!/^[-+]?(\d+[.,]?\d*|[.,]\d+)$/.test(text)) return { why: `${shown} is not a number` };
  const v = Number(text.replace(",", "."));
  if (v >= min - 1e-9 && v <= max + 1e-9) return { v: clamp(v, min, max) };
  return { why: `${shown} is out of range: ${round(min, 0.001)} to ${amount(max, unit)} is possible` };
}

// slider makes a row with a label, a slider, a number field and a unit. of() gives { value, min, max, disabled }, set(v)
// changes the state and may return words about it, page.done(settled, busy, run) tells the page.
export function slider(props) {
  const { id, label, unit, step, whole, of, set, page, about = "" } = inInches(props);
  const name = make("label", { htmlFor: id, textContent: label, id: `${id}-label` });
  const range = make("input", { type: "range", id: `${id}-slider`, ariaDescription: about || null });
  range.setAttribute("aria-labelledby", name.id);
  const field = make("input", { type: "text", id, inputMode: "decimal", className: "number", role: "spinbutton", ariaDescription: about || null });
  const said = make("p", { className: "said", role: "status", hidden: true });
  const row = make("div", { className: "control", title: about }, name, range, field, make("span", { className: "unit", textContent: unit }), said);
  let words = "", fresh = false, timer = 0, keyed = false;
  const take = (v, settled, busy, run) => {
    if (v !== of().value) words = set(whole ? Math.round(v) : v) || "";
    fresh = true;
    page.done(settled, busy, run);
  };
  const typed = (settled) => {
    clearTimeout(timer);
    fresh = true;
    if (Math.abs(Number(field.value) - of().value) < 0.0005) return settled && page.done(true, null); // as shown, which is rounded
    const { v, why } = read(field.value, unit, of());
    if (!why) return take(v, settled, settled ? null : field);
    words = `${why[0].toUpperCase()}${why.slice(1)}.`;
    return settled ? page.done(true, null) : show(field);
  };
  range.addEventListener("keydown", () => { keyed = true; });
  range.addEventListener("pointerdown", () => { keyed = false; });
  for (const kind of ["input", "change"]) range.addEventListener(kind, () => take(range.valueAsNumber, kind === "change", range, keyed ? id : ""));
  field.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(() => typed(false), pauseMS); });
  field.addEventListener("change", () => typed(true));
  field.addEventListener("keydown", (event) => {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key], { value, min, max } = of();
    if (event.key === "Enter") typed(true);
    if (event.key === "Escape") { clearTimeout(timer); words = ""; show(); }
    if (!way || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    clearTimeout(timer);
    take(clamp(round(value + way * step, 0.001), min, max), true, null, id);
  });
  const show = (busy) => {
    const { value, min, max, disabled } = of();
    if (!fresh) words = "";
    fresh = false;
    const near = (v) => round(v, 0.001), off = { disabled: Boolean(disabled) };
    // The slider has whole steps: 0 can be had wherever it lies between.
    put(range, { min: near(Math.ceil(min / step - 1e-9) * step), max: near(Math.floor(max / step + 1e-9) * step), step, ...off, "aria-valuetext": amount(value, unit) });
    put(field, { ...off, "aria-valuenow": near(value), "aria-valuemin": near(min), "aria-valuemax": near(max) });
    if (busy !== range) put(range, { value });
    if (busy !== field) put(field, { value: near(value) });
    put(said, { textContent: words, hidden: !words });
  };
  return { row, show };
}

// list makes a row with a label and a list of { value, text }.
export function list({ id, label, options, get, set, page, told = () => "" }) {
  const select = make("select", { id }, ...options.map((o) => make("option", { value: o.value, textContent: o.text })));
  const said = make("p", { className: "said", role: "status", hidden: true });
  let words = "", fresh = false;
  select.addEventListener("change", () => { words = set(select.value) || ""; fresh = true; page.done(true, null); });
  const row = make("div", { className: "control" }, make("label", { htmlFor: id, textContent: label }), select, said);
  const show = () => {
    if (!fresh) words = "";
    fresh = false;
    const chosen = get();
    for (const option of select.options) put(option, { textContent: options.find((o) => o.value === option.value).text + (option.value === chosen ? told() : "") });
    put(select, { value: chosen });
    put(said, { textContent: words, hidden: !words });
  };
  return { row, show };
}

// limited gives a slider the meaning of a key of the scene file, and keeps it within the key's range.
function limited(control, unit, { of, ...props }) {
  const end = unit && `_${unit === "%" ? "percent" : spelt(unit)}`, low = control[`low${end}`], high = control[`high${end}`];
  return { ...props, about: control.about, of: () => { const { min = low, max = high, ...now } = of(); return { ...now, min: Math.max(min, low), max: Math.min(max, high) }; } };
}

// railWord names a rail as a heading.
const railWord = (name) => (/^rail\b/i.test(name) ? `R${name.slice(1)}` : `Rail ${name}`);

// railControls are the rows of rail number r. page has scene, state(), settled() and done().
export function railControls(page, r) {
  const { scene } = page;
  const own = scene.rails[r], start = scene.state.rails[r];
  const on = { own, start, length: scene.length_mm };
  const rail = () => page.state().rails[r];
  const id = (name) => `r${r}-${name}`;
  const used = () => rail().modules.map((m) => own.modules[m.like]);
  const optic = () => scene.optics.find((o) => o.name === (rail().optic || used()[0].optic));
  const beamMost = () => Math.max(1, Math.floor(Math.min(150, 178 * optic().beam_deg / optic().widest_deg)));
  const lowest = Math.ceil(scene.cover ? scene.cover.to_mm + 1 : 1);
  const optics = scene.optics.map((o) => ({ value: o.name, text: o.name }));
  if (!start.optic) optics.unshift({ value: "", text: "as in the file" });
  const remark = make("p", { className: "remark" });
  // one makes the slider of a quantity of the scene file, which has its meaning and its range; of() may narrow the range.
  const one = (key, unit, step, props) => slider({ ...limited(scene.controls[key], unit, props), id: id(key), label: props.label || key, unit, step, page });
  const mm = (key, min, max) => one(key, "mm", 1, { of: () => ({ value: rail()[`${key}_mm`], min, max }), set: (v) => { rail()[`${key}_mm`] = v; } });
  const rows = [
    one("count", "", 1, { label: "modules", whole: true,
      of: () => ({ value: rail().modules.length, max: Math.max(start.modules.length, mostThatFit(page.settled().rails[r], on)) }),
      set: (v) => setCount(rail(), v, page.settled().rails[r], on) }),
    one("spacing", "mm", 1, {
      of: () => ({ value: spacing(rail()), max: Math.max(spacing(rail()), widestSpacing(rail(), on)), disabled: rail().modules.length < 2 }),
      set: (v) => setSpacing(rail(), v, on) }),
    list({ id: id("optic"), label: "optic", options: optics, page, get: () => rail().optic, set: (v) => { rail().optic = v; rail().beam_deg = 0; for (const m of rail().modules) delete m.optic; },
      told: () => (rail().beam_deg ? ` at ${round(rail().beam_deg, 0.1)}\u00b0` : "") }),
    one("beam", "\u00b0", 0.5, { label: "beam angle",
      of: () => ({ value: rail().beam_deg || optic().beam_deg, min: 1, max: beamMost(), disabled: optic().measured }),
      set: (v) => { rail().beam_deg = v === optic().beam_deg && rail().optic ? 0 : v; } }),
    one("current", "mA", 5, {
      of: () => ({ value: rail().current_ma || used()[0].current_ma, min: Math.ceil(Math.max(...used().map((m) => m.low_ma))), max: Math.floor(Math.min(...used().map((m) => m.high_ma))) }),
      set: (v) => { rail().current_ma = v; for (const m of rail().modules) delete m.current_ma; } }),
    mm("height", lowest, Math.max(600, start.height_mm)),
    mm("y", Math.min(0, start.y_mm), Math.max(scene.width_mm, start.y_mm)),
    one("tilt", "\u00b0", 0.5, { of: () => ({ value: rail().tilt_deg }), set: (v) => { rail().tilt_deg = v; } }),
  ];
  const words = () => [
    isEven(rail()) ? "" : "unequal spacing; the mean is shown",
    rail().optic ? "" : "the modules have different optics",
    rail().current_ma ? "" : "the modules have different currents",
  ].filter(Boolean).join("; ");
  const legend = make("legend", { textContent: railWord(own.name), dir: "auto" });
  const set = make("fieldset", { id: `rail-${r}` }, legend, ...rows.map((x) => x.row), remark);
  return { row: set, show: (busy) => { rows.forEach((x) => x.show(busy)); put(remark, { textContent: words(), hidden: !words() }); } };
}

// waterControls are the rows of the water.
export function waterControls(page) {
  const { scene } = page;
  const water = () => page.state();
  const low = () => Math.ceil(scene.waters.find((w) => w.name === water().water).low_extra_per_m * 1000) / 1000;
  const kind = (v) => {
    const extra = water().extra_per_m;
    water().water = v;
    water().extra_per_m = Math.max(extra, low());
    return extra < low() ? `The extra absorption was raised from ${round(extra, 0.001)} to ${low()} 1/m, the least that this kind of water allows.` : "";
  };
  const rows = [
    slider({ ...limited(scene.controls.depth, "mm", { of: () => ({ value: water().depth_mm, max: Math.floor(scene.height_mm) }), set: (v) => { water().depth_mm = v; } }),
      id: "depth", label: "depth", unit: "mm", step: 1, page }),
    slider({ ...limited(scene.controls.extra, "", { of: () => ({ value: water().extra_per_m, min: low(), max: Math.max(4, scene.state.extra_per_m) }), set: (v) => { water().extra_per_m = v; } }),
      id: "extra", label: "extra absorption", unit: "1/m", step: 0.02, page }),
  ];
  if (!scene.half_depth) rows.unshift(list({ id: "kind", label: "kind", options: scene.waters.map((w) => ({ value: w.name, text: w.name })), page, get: () => water().water, set: kind }));
  return { rows: rows.map((x) => x.row), show: (busy) => rows.forEach((x) => x.show(busy)) };
}

// levelControls are the rows of the channels, by which each dims by itself.
export function levelControls(page) {
  const { scene } = page;
  const levels = () => page.state().levels_percent;
  const rows = scene.channels.map(({ name }, i) => slider({
    ...limited(scene.controls.level, "%", { of: () => ({ value: levels()[i] }), set: (v) => { levels()[i] = v; } }), id: `level-${i}`, label: name, unit: "%", step: 1, page }));
  const set = make("fieldset", { id: "levels" }, make("legend", { textContent: "Level of each channel" }), ...rows.map((x) => x.row));
  return { row: set, show: (busy) => rows.forEach((x) => x.show(busy)) };
}
