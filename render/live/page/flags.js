// What check finds, beside the control that causes it: red where it cannot be built so, amber where it is odd.
import { make } from "./controls.js";

const $ = (id) => document.getElementById(id);

// causes are the controls of a rail that what was found comes from, by its code.
const causes = [[/^bars-overlap|beyond-sides/, "y"], [/^boards-overlap|^modules-|keep-out/, "spacing"], [/below-rim/, "height"], [/^beam/, "beam"],
  [/too-hot|heat|hot-metal|^current|feed|driver|wired|strings|volt/, "current"]];
const control = (code) => causes.find(([known]) => known.test(code))?.[1];

// folds are those of things, by the place in the file of what was found.
const folds = [[/^tank\.obstacles\[(\d+)\]/, "obstacle"], [/^wiring\.drivers\[(\d+)\]/, "driver"], [/^wiring\.channels\[(\d+)\]/, "channel"], [/^day\[(\d+)\]/, "day"],
  [/^goal\[(\d+)\]/, "goal"], [/^rails\[(\d+)\]/, "bar"], [/^tank\.(cover|walls|floor)/, ""], [/^(goal|wiring|ambient|tank)/, ""]];
const foldOf = (path) => { for (const [known, stem] of folds) { const found = path.match(known); if (found) return `thing-${stem ? `${stem}-` : ""}${found[1]}`; } return ""; };

// place is where something that was found is shown: a control of a rail, the water's depth, or a fold.
function place({ code, path = "", text }, scene, last) {
  if (code === "over-budget") return "over";
  if (path.startsWith("tank.water")) return "depth";
  const fold = foldOf(path);
  if (/^wiring\.|^day/.test(path) && $(fold)) return fold;
  const key = control(code);
  const named = scene.rails.findIndex((r) => text.includes(r.name));
  const rail = Number(path.match(/^rails\[(\d+)\]/)?.[1] ?? (named >= 0 ? named : last));
  return key ? `r${rail}-${key}` : fold;
}

// flagged lists what was found and has a place, each text once, with the node that it stands at.
function flagged(page, found) {
  const last = Number(document.activeElement?.id.match(/^r(\d+)-/)?.[1] ?? 0), told = new Map();
  for (const one of found) {
    const at = $(place(one, page.scene, last));
    if (at && !told.has(one.text)) told.set(one.text, { at, one });
  }
  return [...told.values()];
}

// showFlags puts each thing that was found at its place, unless all stands there; what has no place stands in the list of all alone.
export function showFlags(page, found) {
  const list = flagged(page, found), stand = [...document.querySelectorAll(".flag")];
  if (list.length === stand.length && list.every(({ at, one }) => stand.some((node) => node.at === at && node.text === one.text && node.grave === one.grave))) return;
  stand.forEach((node) => node.remove());
  for (const { at, one } of list) {
    const flag = make("p", { className: `flag ${one.grave ? "grave" : "odd"}` }, make("strong", { textContent: one.grave ? "\u25a0 to be changed: " : "\u25b2 warning: " }), one.text);
    Object.assign(flag, { at, text: one.text, grave: one.grave });
    const row = at.closest(".control");
    if (at.tagName === "DETAILS") at.after(flag); // seen while the fold is closed, too
    else (row || at).append(flag);
  }
}
