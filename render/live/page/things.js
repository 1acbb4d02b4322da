// What the scene file says beside the quantities that have sliders: one fold for each thing, with its values as they
// stand in the file. Each change makes a new version of the scene, whose faults are told under the field.
import { make } from "./controls.js";

// flow writes a value as YAML on one line.
export function flow(value) {
  if (Array.isArray(value)) return `[${value.map(flow).join(", ")}]`;
  if (value && typeof value === "object") return `{${Object.entries(value).map(([k, v]) => `${k}: ${flow(v)}`).join(", ")}}`;
  return /^[\w][\w .%/-]*$/.test(value) ? String(value) : JSON.stringify(value);
}
export const mm = (v) => `${Number(v.toFixed(1))} mm`;

const spelt = (key) => key.replaceAll("_", " ");

// field makes the row of one key of a thing.
function field(page, thing, row) {
  const id = `${thing.id}-${row.key}`;
  const said = make("p", { className: "said", role: "status", hidden: true });
  const list = row.words.length || row.examples.length ? make("datalist", { id: `${id}-list` }, ...[...row.words, ...row.examples].map((w) => make("option", { value: w }))) : null;
  const input = row.only ? make("select", { id }, ...[...new Set(["", ...(row.value ? [row.value] : []), ...row.words])].filter((w) => w || !row.must).map((w) => make("option", { value: w, textContent: w || "not given" })))
    : make("input", { type: "text", id, spellcheck: false, maxLength: 200, placeholder: row.must ? "" : "not given" });
  input.value = row.value;
  input.ariaDescription = row.about;
  if (list && !row.only) input.setAttribute("list", list.id);
  input.addEventListener("change", async () => {
    const typed = input.value.trim();
    if (typed === row.value) { said.hidden = true; return; }
    const value = row.text && typed ? flow(typed) : typed;
    const refused = await page.edit([{ path: [...thing.path, row.key], value }]);
    said.textContent = refused;
    said.hidden = !refused;
  });
  input.addEventListener("keydown", (event) => { if (event.key === "Escape") { input.value = row.value; said.hidden = true; } });
  return make("div", { className: "control written", title: row.about }, make("label", { htmlFor: id, textContent: spelt(row.key) }), input, ...(list && !row.only ? [list] : []), said);
}

// button makes one that edits the scene; what is refused is said beside it.
function button(page, text, edits) {
  const said = make("p", { className: "said", role: "status", hidden: true });
  const node = make("button", { type: "button", textContent: text });
  node.addEventListener("click", async () => {
    said.textContent = await page.edit(edits());
    said.hidden = !said.textContent;
  });
  return make("div", { className: "act" }, node, said);
}

// fold is a thing of the page that opens, and is then what is selected.
export function fold(page, id, title, ...rows) {
  const node = make("details", { id: `thing-${id}`, className: "thing", open: page.opened.has(id) }, make("summary", { textContent: title, dir: "auto" }), ...rows);
  node.setAttribute("aria-label", title);
  node.addEventListener("toggle", () => { page.opened[node.open ? "add" : "delete"](id); page.redraw(); });
  return node;
}

// thingFolds are the folds of all things of the page's scene.
export function thingFolds(page) {
  const { scene } = page;
  return scene.things.map((thing) => {
    if (!thing.there && thing.id === "cover") return fold(page, thing.id, "Cover: none", button(page, "Add a glass cover", () => [{ path: thing.path, value: flow({ material: "glass", thickness: "4 mm", above_water: "30 mm" }) }]));
    const rows = thing.rows.map((row) => field(page, thing, row));
    if (thing.removable) rows.push(button(page, `Remove this ${thing.path.at(-2) === "rails" ? "rail" : thing.id.split("-")[0]}`, () => [{ path: thing.path, value: "" }]));
    return fold(page, thing.id, thing.title, ...rows);
  });
}

// adders are the buttons that add a rail and an obstacle.
export function adders(page) {
  const { scene } = page;
  const free = (stem, taken) => { for (let n = 2; ; n++) if (!taken.includes(`${stem} ${n}`)) return `${stem} ${n}`; };
  const rail = () => {
    const last = page.state().rails.at(-1), own = scene.rails.at(-1);
    const modules = last.modules.map((m) => ({ ...page.moduleOf(scene.rails.length - 1, m), x: mm(m.x_mm) }));
    const y = last.y_mm + 60 + own.width_mm <= scene.width_mm ? last.y_mm + 60 + own.width_mm : Math.max(0, last.y_mm - 60 - own.width_mm);
    return [{ path: ["rails", scene.rails.length], value: flow({ name: free("rail", scene.rails.map((r) => r.name)), profile: own.profile, length: mm(own.length_mm), x: mm(own.left_mm), y: mm(y), above_water: mm(last.height_mm), modules }) }];
  };
  const box = () => {
    const at = (share, side) => mm(side * share);
    const value = flow({ name: free("obstacle", scene.boxes.map((b) => b.name)), from: [at(0.4, scene.length_mm), at(0.4, scene.width_mm), "0 mm"], to: [at(0.6, scene.length_mm), at(0.6, scene.width_mm), at(0.3, scene.height_mm)] });
    return [scene.boxes.length ? { path: ["tank", "obstacles", scene.boxes.length], value } : { path: ["tank", "obstacles"], value: `[${value}]` }];
  };
  return make("div", { className: "adders" }, button(page, "Add a rail", rail), button(page, "Add an obstacle", box));
}
