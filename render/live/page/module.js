// The module that is selected: its part, its lens, its current and its place, each its own.
import { list, make, slider } from "./controls.js";
import { fold } from "./things.js";
import { round } from "./state.js";

// own gives each module of a rail its own value of something that the rail had for all.
function own(rail, key, none) {
  if (!rail[key]) return;
  for (const m of rail.modules) m[key] = rail[key];
  rail[key] = none;
}

// moduleFold is the fold of module i of rail r. page has scene, state(), done(), moduleOf(), choose() and edit().
export function moduleFold(page, r, i) {
  const { scene } = page;
  const rail = () => page.state().rails[r], at = () => rail().modules[i] || rail().modules.at(-1);
  const like = () => scene.rails[r].modules[at().like];
  const id = (name) => `module-${name}`;
  const optic = list({ id: id("optic"), label: "optic", page, options: scene.optics.map((o) => ({ value: o.name, text: o.name })),
    get: () => rail().optic || at().optic || like().optic, set: (v) => { own(rail(), "optic", ""); at().optic = v; } });
  const part = list({ id: id("part"), label: "part", page: { done: () => page.commit() }, options: scene.parts.map((p) => ({ value: p.name, text: p.name })),
    get: () => like().part,
    set: (v) => {
      const { low_ma, high_ma } = scene.parts.find((p) => p.name === v);
      const current = rail().current_ma || at().current_ma || like().current_ma;
      own(rail(), "current_ma", 0);
      at().part = v;
      at().current_ma = Math.min(Math.max(current, low_ma), high_ma);
      return at().current_ma === current ? "" : `The current is now ${round(at().current_ma, 1)} mA, within what the part takes.`;
    } });
  const current = slider({ id: id("current"), label: "current", unit: "mA", step: 5, page,
    of: () => ({ value: rail().current_ma || at().current_ma || like().current_ma, min: Math.ceil(like().low_ma), max: Math.floor(like().high_ma) }),
    set: (v) => { own(rail(), "current_ma", 0); at().current_ma = v; } });
  const x = slider({ id: id("x"), label: "x", unit: "mm", step: 1, page,
    of: () => ({ value: at().x_mm, min: scene.rails[r].left_mm, max: scene.rails[r].left_mm + scene.rails[r].length_mm }), set: (v) => { at().x_mm = v; } });
  const act = (text, todo) => {
    const node = make("button", { type: "button", textContent: text });
    node.addEventListener("click", () => { todo(); page.done(true, null); });
    return node;
  };
  const beside = act("Add one beside it", () => {
    const right = rail().modules.map((m) => m.x_mm).filter((v) => v > at().x_mm + 0.5);
    const end = scene.rails[r].left_mm + scene.rails[r].length_mm - like().length_mm / 2;
    rail().modules.push({ ...at(), x_mm: round(right.length ? (at().x_mm + Math.min(...right)) / 2 : Math.min(at().x_mm + 1.5 * like().length_mm, end), 1) });
    page.choose(r, rail().modules.length - 1);
  });
  const remove = act("Remove it", () => { rail().modules.splice(i, 1); page.choose(r, Math.min(i, rail().modules.length - 1)); });
  const rows = [part, optic, current, x];
  page.opened.add("module");
  const node = fold(page, "module", `Module ${scene.rails.length > 1 ? `${scene.rails[r].name}:` : ""}${i + 1}`, ...rows.map((c) => c.row), make("div", { className: "act" }, beside, remove));
  return { row: node, show: (busy) => { for (const c of rows) c.show(busy); remove.disabled = rail().modules.length < 2; } };
}
