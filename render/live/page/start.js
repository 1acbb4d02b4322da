// The first screen: a new tank, a scene of the folder, or an example; then lights to choose from.
import { body, post, shownScene } from "./ask.js";
import { make } from "./controls.js";
import { Job } from "./jobs.js";
import { smallPlan } from "./plan.js";
import { addressOf } from "./state.js";

const $ = (id) => document.getElementById(id);
const lengths = ["length", "width", "height", "depth"];
const perInch = 25.4;
const outlines = {}; // by name, with what the one length is that each asks for
const outline = () => $("outline").value;
const asksMeasure = () => outline() !== "round" && Boolean(outlines[outline()]?.measure);

// faultAt is the field that a fault of the new scene is shown at.
const faultAt = { "tank.length": "length", "tank.width": "width", "tank.height": "height", "tank.water.depth": "depth", "tank.outline": "measure", "tank.outline.bow-front.sagitta": "measure", "tank.outline.corner.cut": "measure", "goal.illuminance": "amount", "goal.ppfd": "amount", "goal.uniformity": "even", title: "title" };

// limits are what a search for lights may be told, by the names of the flags of the command propose.
const limits = [["budget", "budget for the parts", ""], ["watts-at-most", "power from the mains, at most (W)", ""], ["rows", "rows of modules", "1,2"], ["only", "only these parts", "names with commas between"]];
const here = new URLSearchParams(location.search);
function limitFields() {
  for (const root of document.querySelectorAll("[data-limits]")) {
    for (const [name, words, placeholder] of limits) {
      const id = `${root.dataset.limits}-${name}`;
      root.append(make("label", { htmlFor: id, textContent: words }), make("input", { type: "text", id, placeholder, value: here.get(name) || "" }));
    }
  }
}
const limitsOf = (root) => Object.fromEntries(limits.map(([name]) => [name, $(`${root}-${name}`).value.trim()]).filter(([, value]) => value));

const unit = () => document.querySelector("input[name=unit]:checked").value;
const typed = (id) => Number($(id).value.trim().replace(",", "."));

// corners are those of the tank seen from above, from its front on: lengths as typed, with a bow or a cut of some measure.
function corners(l, w, m) {
  const arc = (x, y, r, from, to, n) => Array.from({ length: n + 1 }, (_, k) => { const t = from + (to - from) * k / n; return [x + r * Math.cos(t), y + r * Math.sin(t)]; });
  const bow = (s) => { const r = (l * l / 4 + s * s) / (2 * s), t = Math.asin(l / 2 / r); return arc(l / 2, r, r, -Math.PI / 2 - t, -Math.PI / 2 + t, 24); };
  return { "bow-front": m > 0 && m < l / 2 ? [...bow(m), [l, w], [0, w]] : undefined, corner: m > 0 && m < Math.min(l, w) ? [[0, 0], [l - m, 0], [l, m], [l, w], [0, w]] : undefined,
    round: arc(l / 2, l / 2, l / 2, 0, 2 * Math.PI, 48).slice(1), hexagon: [[l / 4, 0], [l * 3 / 4, 0], [l, w / 2], [l * 3 / 4, w], [l / 4, w], [0, w / 2]] }[outline()] || [[0, 0], [l, 0], [l, w], [0, w]];
}

// draw shows the tank in proportion, with what was typed beside its edges.
function draw() {
  const svg = (tag, props, text) => {
    const node = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [key, value] of Object.entries(props)) node.setAttribute(key, value);
    if (text) node.textContent = text;
    return node;
  };
  const [l, wide, h, d] = lengths.map((id, i) => (typed(id) > 0 ? typed(id) : [3, 1.5, 1.5, 1.2][i]));
  const w = outline() === "round" ? l : wide, slant = 0.5, per = Math.min(220 / (l + slant * w), 140 / (h + slant * w * 0.7));
  const x = 60, y = 170, ring = corners(l, w, typed("measure")), upright = outline() === "rectangle" || outline() === "corner";
  const at = ([cx, cy], z) => [x + (cx + slant * cy) * per, y - (z + slant * cy * 0.7) * per];
  const path = (points) => points.map((p) => p.map((v) => Math.round(v * 10) / 10).join(",")).join(" ");
  const level = (name, z) => svg("polygon", { class: name, points: path(ring.map((c) => at(c, z))) });
  const sharp = ring.filter((c, i) => { const a = ring.at(i - 1), b = ring[(i + 1) % ring.length], turn = Math.atan2(b[1] - c[1], b[0] - c[0]) - Math.atan2(c[1] - a[1], c[0] - a[0]); return Math.abs(Math.sin(turn / 2)) > 0.2; });
  const over = ring.map((c) => at(c, 0)[0]), ends = [over.indexOf(Math.min(...over)), over.indexOf(Math.max(...over))].map((i) => ring[i]);
  const shown = (id) => ($(id).value.trim() ? `${$(id).value.trim()} ${unit()}` : id);
  const label = (id, place, anchor, word = "") => svg("text", { x: place[0], y: place[1], "text-anchor": anchor, class: "measure" }, word + shown(id));
  const high = Math.min(d, h), water = svg("g", { class: "water" });
  water.append(level("", 0), level("", high), ...ring.map((c, i) => { const next = ring[(i + 1) % ring.length]; return svg("polygon", { points: path([at(c, 0), at(next, 0), at(next, high), at(c, high)]) }); }));
  const [front] = [at([l / 2, 0], 0)], side = at([l, w / 2], 0);
  $("drawing").replaceChildren(water, level("glass", 0), level("glass", h),
    ...[...new Set([...sharp, ...ends])].map((c) => svg("polyline", { class: "glass", points: path([at(c, 0), at(c, h)]) })),
    label("length", [front[0], y + 16], "middle"), ...(outline() === "round" ? [] : [label("width", [side[0] + 8, side[1] + 12], "start")]),
    label("height", [Math.min(...over) - 6, y - h * per / 2], "end"), label("depth", [upright ? x + 8 : at([l / 2, 0], 0)[0] - 30, at([0, 0], high)[1] + 14], "start", "water "));
}

// asks shows the fields that the outline has.
function asks() {
  $("measure").parentElement.hidden = !asksMeasure();
  $("measured").textContent = outlines[outline()]?.measure || "";
  $("length").labels[0].textContent = outline() === "round" ? "diameter" : "length, left to right";
  $("width").parentElement.hidden = outline() === "round";
  draw();
}

// inUnit writes the lengths in the other unit.
function inUnit() {
  const inches = unit() === "in";
  for (const id of [...lengths, "measure"]) {
    const v = typed(id);
    if (v > 0) $(id).value = inches ? Math.round(v / perInch * 100) / 100 : Math.round(v * perInch * 10) / 10;
  }
  draw();
}

// saysFaults marks the fields at fault and says why, all at once.
function saysFaults(marks, refused) {
  for (const field of $("tank").querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
  const lines = refused ? [refused] : marks.map((m) => {
    const field = $(faultAt[m.path]);
    field?.setAttribute("aria-invalid", "true");
    return `${field ? field.labels[0].textContent : m.path}: ${m.text}`;
  });
  $("faults").replaceChildren(...lines.map((text) => make("li", { textContent: text })));
  $("faults").hidden = !lines.length;
  $("tank").querySelector("[aria-invalid]")?.focus();
}

async function create(rail) {
  const own = document.querySelector("input[name=goal]:checked").value;
  const tank = { title: $("title").value.trim(), goal: own, rail, photon: $("quantity").value === "ppfd", amount: $("amount").value, plane: $("plane").value, even: $("even").value };
  for (const id of [...lengths, "measure"]) tank[id] = `${$(id).value.trim().replace(",", ".")} ${unit()}`;
  tank.outline = outline();
  if (tank.outline === "round") tank.width = tank.length;
  for (const id of ["lid", "back", "sides", "floor"]) tank[id] = $(id).value;
  const answer = await post("new", tank).catch(() => ({ refused: "The program does not answer; it may have ended." }));
  saysFaults(answer.marks || [], answer.refused);
  if (answer.file) location.assign(rail ? addressOf(answer.file) : `start?${new URLSearchParams({ ...limitsOf("first"), lights: answer.file })}`);
}

async function example() {
  const answer = await post("new", { example: true }).catch(() => ({ refused: "The program does not answer; it may have ended." }));
  if (answer.file) return location.assign(addressOf(answer.file));
  $("example-fault").textContent = answer.refused;
  $("example-fault").hidden = false;
  return null;
}

function sceneRow(one) {
  const address = one.unlit ? `start?${new URLSearchParams({ lights: one.file })}` : addressOf(one.file);
  const about = one.faults ? `${one.faults} ${one.faults === 1 ? "fault" : "faults"}` : one.unlit ? "no lights yet" : one.title;
  const size = one.faults ? "" : `${[one.length_mm, one.width_mm, one.height_mm].map((v) => (one.inches ? Math.round(v / perInch * 10) / 10 : Math.round(v))).join(" \u00d7 ")} ${one.inches ? "in" : "mm"}`;
  const link = make("a", { href: address }, make("strong", { textContent: one.file, dir: "auto" }), make("span", { textContent: about, dir: "auto" }), make("span", { className: "small", textContent: size }));
  if (!one.faults) link.prepend(smallPlan(one, `plan of ${one.file}`));
  return make("li", {}, link);
}

function fillForm(choices) {
  for (const id of ["lid", "back", "sides", "floor"]) $(id).replaceChildren(...choices[id].map((c) => make("option", { value: c.name, textContent: c.says })));
  for (const c of choices.outline) outlines[c.name] = c;
  $("outline").replaceChildren(...choices.outline.map((c) => make("option", { value: c.name, textContent: c.says })));
  $("outline").addEventListener("change", () => {
    const usual = outlines[outline()].usual_mm || 0;
    $("measure").value = unit() === "in" ? Math.round(usual / perInch * 100) / 100 : usual;
    asks();
  });
  $("back").value = "dark";
  const radio = (value, says, checked) => make("label", { className: "inline" }, make("input", { type: "radio", name: "goal", value, checked }), ` ${says}`);
  $("goals").replaceChildren(...choices.goal.map((c, i) => radio(c.name, c.says, i === 0)), radio("", "by number", false));
  $("goals").addEventListener("change", () => { $("own").hidden = document.querySelector("input[name=goal]:checked").value !== ""; });
  for (const [id, value] of Object.entries({ length: 900, width: 400, height: 450, depth: 400 })) $(id).value = value;
  for (const id of [...lengths, "measure"]) $(id).addEventListener("input", draw);
  for (const one of document.querySelectorAll("input[name=unit]")) one.addEventListener("change", inUnit);
  $("tank").addEventListener("submit", (event) => { event.preventDefault(); create(false); });
  $("rail").addEventListener("click", () => create(true));
  $("example").addEventListener("click", example);
  asks();
}

// propose looks for lights over the tank of a file.
function propose(file) {
  $("choose").hidden = true;
  $("propose").hidden = false;
  $("propose-title").textContent = `Lights for ${file}`;
  const job = new Job($("job"), { name: "propose", words: "Looking for lights \u2026 this takes from some seconds to a minute or two.", takes: "Take this light",
    request: () => body({ file, limits: limitsOf("again") }), take: (p) => location.assign(addressOf(file, p.version)) });
  $("limits").addEventListener("submit", (event) => { event.preventDefault(); job.start(); });
  job.start();
}

limitFields();
const lights = here.get("lights");
if (lights) propose(lights);
else {
  const found = shownScene(await (await fetch("files")).json());
  $("folder").textContent = found.folder;
  fillForm(found.choices);
  $("scenes").replaceChildren(...found.scenes.map(sceneRow));
  $("none").hidden = found.scenes.length > 0;
  $("example-plan").replaceChildren(smallPlan(found.example, "plan of the example"));
}
document.body.dataset.state = "idle";
