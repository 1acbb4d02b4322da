// Sliders with number fields, and lists, that show the state and change it. Every text goes in as text, never as markup.
import { clamp, round, spacing, isEven, setSpacing, setCount } from "./state.js";

export function make(tag, props = {}, ...children) {
  const node = Object.assign(document.createElement(tag), props);
  node.append(...children);
  return node;
}

// slider makes a row with a label, a slider, a number field and a unit. of() gives { value, min, max, disabled }, set(v)
// changes the state, done(settled) tells the page.
function slider({ id, label, unit, step, of, set, done, about = "" }) {
  const name = make("label", { htmlFor: id, textContent: label, id: `${id}-label` });
  const range = make("input", { type: "range", id: `${id}-slider`, ariaDescription: about || null });
  range.setAttribute("aria-labelledby", name.id);
  const field = make("input", { type: "number", id, inputMode: "decimal", ariaDescription: about || null });
  const row = make("div", { className: "control", title: about }, name, range, field, make("span", { className: "unit", textContent: unit }));
  const take = (input, settled) => {
    const { value, min, max } = of();
    const v = input.valueAsNumber;
    const fits = Number.isFinite(v) && v >= min && v <= max;
    if (fits && v !== value) set(v);
    if (!fits && settled && Number.isFinite(v)) set(clamp(v, min, max));
    if (fits || settled) done(settled, settled ? null : input);
  };
  for (const input of [range, field]) {
    input.addEventListener("input", () => take(input, false));
    input.addEventListener("change", () => take(input, true));
  }
  const show = (busy) => {
    const { value, min, max, disabled } = of();
    for (const input of [range, field]) {
      input.min = min; input.max = max; input.step = input === range ? step : "any"; input.disabled = Boolean(disabled);
      if (input !== busy) input.value = input === range ? value : round(value, 0.001);
    }
    range.setAttribute("aria-valuetext", `${round(value, 0.001)} ${unit}`);
  };
  return { row, show };
}

// list makes a row with a label and a list of { value, text }.
function list({ id, label, options, get, set, done }) {
  const select = make("select", { id }, ...options.map((o) => make("option", { value: o.value, textContent: o.text })));
  select.addEventListener("change", () => { set(select.value); done(true, null); });
  const row = make("div", { className: "control" }, make("label", { htmlFor: id, textContent: label }), select);
  return { row, show: () => { select.value = get(); } };
}

// railControls are the rows of rail number r. page has scene, state() and done().
export function railControls(page, r) {
  const { scene, done } = page;
  const own = scene.rails[r], start = scene.state.rails[r];
  const rail = () => page.state().rails[r];
  const id = (name) => `r${r}-${name}`;
  const used = () => rail().modules.map((m) => own.modules[m.like]);
  const optic = () => scene.optics.find((o) => o.name === (rail().optic || used()[0].optic));
  const beamMost = () => Math.max(1, Math.floor(Math.min(150, 178 * optic().beam_deg / optic().widest_deg)));
  const lowest = Math.ceil(scene.cover ? scene.cover.to_mm + 1 : 1);
  const optics = scene.optics.map((o) => ({ value: o.name, text: o.name }));
  if (!start.optic) optics.unshift({ value: "", text: "as in the file" });
  const remark = make("p", { className: "remark" });
  const mm = (name, key, min, max, about) => slider({ id: id(key), label: name, about, unit: "mm", step: 1, done, of: () => ({ value: rail()[`${key}_mm`], min, max }), set: (v) => { rail()[`${key}_mm`] = v; } });
  const rows = [
    slider({ id: id("count"), label: "modules", unit: "", step: 1, done,
      of: () => ({ value: rail().modules.length, min: 1, max: Math.min(scene.most_on_rail, Math.max(30, start.modules.length)) }),
      set: (v) => setCount(rail(), Math.round(v), own.length_mm) }),
    slider({ id: id("spacing"), label: "spacing", about: "middle to middle of neighbouring modules", unit: "mm", step: 1, done,
      of: () => ({ value: spacing(rail()), min: 1, max: Math.ceil(Math.max(spacing(rail()), own.length_mm / Math.max(1, rail().modules.length - 1))), disabled: rail().modules.length < 2 }),
      set: (v) => setSpacing(rail(), v) }),
    list({ id: id("optic"), label: "optic", options: optics, done, get: () => rail().optic, set: (v) => { rail().optic = v; rail().beam_deg = 0; } }),
    slider({ id: id("beam"), label: "beam angle", about: "full angle between the directions of half intensity", unit: "deg", step: 0.5, done,
      of: () => ({ value: rail().beam_deg || optic().beam_deg, min: 1, max: beamMost(), disabled: optic().measured }),
      set: (v) => { rail().beam_deg = v === optic().beam_deg && rail().optic ? 0 : v; } }),
    slider({ id: id("current"), label: "current", unit: "mA", step: 5, done,
      of: () => ({ value: rail().current_ma || used()[0].current_ma, min: Math.ceil(Math.max(...used().map((m) => m.low_ma))), max: Math.floor(Math.min(...used().map((m) => m.high_ma))) }),
      set: (v) => { rail().current_ma = v; } }),
    mm("height", "height", lowest, Math.max(600, start.height_mm), "emitting face above the water"),
    mm("y", "y", Math.min(0, start.y_mm), Math.max(scene.width_mm, start.y_mm), "middle of the rail from the front pane"),
    slider({ id: id("tilt"), label: "tilt", about: "turn of the rail about its own length", unit: "deg", step: 0.5, done, of: () => ({ value: rail().tilt_deg, min: -80, max: 80 }), set: (v) => { rail().tilt_deg = v; } }),
  ];
  const words = () => [
    isEven(rail()) ? "" : "unequal distances; their mean is shown",
    rail().optic ? "" : "the modules have different optics",
    rail().current_ma ? "" : "the modules have different currents",
  ].filter(Boolean).join("; ");
  const legend = make("legend", { textContent: `Rail ${own.name}`, dir: "auto" });
  const set = make("fieldset", { id: `rail-${r}` }, legend, ...rows.map((x) => x.row), remark);
  return { row: set, show: (busy) => { rows.forEach((x) => x.show(busy)); remark.textContent = words(); remark.hidden = !words(); } };
}

// waterControls are the rows of the water.
export function waterControls(page) {
  const { scene, done, state } = page;
  const low = () => scene.waters.find((w) => w.name === state().water).low_extra_per_m;
  const rows = [
    slider({ id: "depth", label: "depth", unit: "mm", step: 1, done, of: () => ({ value: state().depth_mm, min: 10, max: Math.floor(scene.height_mm) }), set: (v) => { state().depth_mm = v; } }),
    slider({ id: "extra", label: "extra absorption", about: "beside that of the kind of water; extra_absorption of the scene's water", unit: "1/m", step: 0.02, done,
      of: () => ({ value: state().extra_per_m, min: Math.ceil(low() * 1000) / 1000, max: Math.max(4, scene.state.extra_per_m) }), set: (v) => { state().extra_per_m = v; } }),
  ];
  if (!scene.half_depth) {
    rows.unshift(list({ id: "kind", label: "kind", options: scene.waters.map((w) => ({ value: w.name, text: w.name })), done, get: () => state().water,
      set: (v) => { state().water = v; state().extra_per_m = Math.max(state().extra_per_m, Math.ceil(low() * 1000) / 1000); } }));
  }
  return { rows: rows.map((x) => x.row), show: (busy) => rows.forEach((x) => x.show(busy)) };
}
