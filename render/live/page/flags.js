// What check finds, beside the control that causes it: red where it cannot be built so, amber where it is odd.
import { make } from "./controls.js";

const $ = (id) => document.getElementById(id);

// causes are the controls of a rail that what was found comes from, by its code.
const causes = [[/^bars-overlap|beyond-sides/, "y"], [/^boards-overlap|^modules-|keep-out/, "spacing"], [/below-rim/, "height"], [/^beam/, "beam"],
  [/too-hot|heat|^current|feed|driver|wired|strings/, "current"]];
const control = (code) => causes.find(([known]) => known.test(code))?.[1];

// place is where something that was found is shown: a control of a rail, the water's depth, or a fold.
function place({ code, path = "", text }, scene, last) {
  if (path.startsWith("tank.water")) return "depth";
  const key = control(code);
  const named = scene.rails.findIndex((r) => text.includes(r.name));
  const rail = Number(path.match(/^rails\[(\d+)\]/)?.[1] ?? (named >= 0 ? named : last));
  if (key) return `r${rail}-${key}`;
  const obstacle = path.match(/^tank\.obstacles\[(\d+)\]/);
  return obstacle ? `thing-obstacle-${obstacle[1]}` : { goal: "thing-goal", wiring: "thing-wiring", ambient: "thing-ambient" }[path.split(".")[0]] || (path.startsWith("tank.cover") ? "thing-cover" : "");
}

// showFlags puts each thing that was found at its place; what has no place stands in the list of all alone.
export function showFlags(page, found) {
  document.querySelectorAll(".flag").forEach((node) => node.remove());
  const last = Number(document.activeElement?.id.match(/^r(\d+)-/)?.[1] ?? 0), told = new Set();
  for (const one of found) {
    const at = $(place(one, page.scene, last));
    if (!at || told.has(one.text)) continue;
    told.add(one.text);
    const flag = make("p", { className: `flag ${one.grave ? "grave" : "odd"}` }, make("strong", { textContent: one.grave ? "\u25a0 to be changed: " : "\u25b2 warning: " }), one.text);
    const row = at.closest(".control") || at.querySelector("summary");
    if (row.tagName === "SUMMARY") row.after(flag); else row.append(flag);
  }
}
