// What the scene file says beside the quantities that have sliders: one fold for each thing, with its values as they
// stand in the file. Each change makes a new version of the scene, whose faults are told under the field.
import { make } from "./controls.js";
import { units } from "./units.js";

// flow writes a value as YAML on one line.
export function flow(value) {
  if (Array.isArray(value)) return `[${value.map(flow).join(", ")}]`;
  if (value && typeof value === "object") return `{${Object.entries(value).map(([k, v]) => `${k}: ${flow(v)}`).join(", ")}}`;
  return /^(\w[\w .%/-]*|\d+:\d\d)$/.test(value) ? String(value) : JSON.stringify(value);
}
// mm is a length as the scene writes it.
export const mm = (v) => (units.inches ? `${Number((v / 25.4).toFixed(3))} in` : `${Number(v.toFixed(1))} mm`);

const spelt = (key) => key.replaceAll("_", " ");

// field makes the row of one key of a thing.
function field(page, thing, row, label = spelt(row.key)) {
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
  return make("div", { className: "control written", title: row.about }, make("label", { htmlFor: id, textContent: label }), input, ...(list && !row.only ? [list] : []), said);
}

// button makes one that edits the scene; what is refused is said beside it. then() gives the fold that is opened after it.
function button(page, text, edits, then = () => "") {
  const said = make("p", { className: "said", role: "status", hidden: true });
  const node = make("button", { type: "button", textContent: text });
  node.addEventListener("click", async () => {
    const next = then();
    said.textContent = await page.edit(edits());
    said.hidden = !said.textContent;
    if (said.textContent) return;
    if (next) page.open(next);
    const fold = document.getElementById(`thing-${next}`) || document.getElementById(next);
    (fold?.querySelector("summary, input") || document.querySelector(".adders button")).focus();
  });
  return make("div", { className: "act" }, node, said);
}

// valueOf is what a key of a thing says, empty where it is not given.
const valueOf = (thing, key) => thing.rows.find((r) => r.key === key).value.replaceAll('"', "");

// knots are the points of a day's program, and what makes them of times of on and off.
function knots(page, thing) {
  const { scene } = page, channel = valueOf(thing, "channel"), own = scene.things.filter((t) => t.id.startsWith("day-")).map((t) => valueOf(t, "channel"));
  const known = scene.knots[scene.channels.findIndex((c) => (channel ? c.name === channel : !own.includes(c.name)))];
  const points = [...thing.path, "points"], write = (list) => ({ path: points, value: flow(list) });
  if (!thing.points.length) return known ? [button(page, "Write it as points", () => [...["on", "off", "ramp", "level"].map((key) => ({ path: [...thing.path, key], value: "" })), write(known)], () => thing.id)] : [];
  const rows = thing.points.map((point, i) => {
    const cells = ["at", "level"].map((key) => field(page, { id: `${thing.id}-${i}`, path: [...points, i] }, { key, value: point[key], must: true, words: [], examples: [], about: key === "at" ? "time of the day" : "of full light" }, `${key === "at" ? "time" : "level"} ${i + 1}`));
    const off = button(page, "\u00d7", () => [{ path: [...points, i], value: "" }], () => thing.id);
    off.firstChild.ariaLabel = `remove point ${i + 1}`;
    if (thing.points.length < 3) off.hidden = true;
    return make("div", { className: "knot" }, ...cells, off);
  });
  const later = () => { const [h, m] = thing.points.at(-1).at.split(":").map(Number); return h < 23 ? `${h + 1}:${String(m).padStart(2, "0")}` : "24:00"; };
  return [...rows, button(page, "Add a point", () => [write([...thing.points, { at: later(), level: "0 %" }])], () => thing.id)];
}

// handOver gives the modules of one of a list of drivers or channels to its neighbour, and takes it out.
function handOver(page, list, of, i) {
  const path = [...of, i], next = i ? i - 1 : 1, { scene } = page;
  if (list.length < 2) return [{ path: of, value: "" }];
  const day = of[1] === "channels" ? scene.things.filter((t) => t.id.startsWith("day-")) : [];
  const mine = day.filter((t) => valueOf(t, "channel") === list[i].name).map((t) => ({ path: day.length > 1 ? t.path : ["day"], value: "" }));
  return [{ path: [...of, next, "modules"], value: flow([...list[next].modules, ...list[i].modules]) }, { path, value: "" }, ...mine];
}

// halves divides the modules of the driver or channel that has most.
function halves(list) {
  const numbers = (runs) => runs.flatMap((run) => {
    const colon = run.lastIndexOf(":");
    return run.slice(colon + 1).split(",").flatMap((r) => { const [a, b = a] = r.split("-").map(Number); return Array.from({ length: b - a + 1 }, (_, k) => [run.slice(0, colon), a + k]); });
  });
  const all = list.map((one) => numbers(one.modules)), from = all.reduce((best, one, i) => (one.length > all[best].length ? i : best), 0);
  const seats = all[from], rails = [...new Set(seats.map(([rail]) => rail))];
  const cut = rails.length > 1 ? seats.findIndex(([rail]) => rail === rails.at(-1)) : Math.ceil(seats.length / 2);
  const runs = (part) => [...new Set(part.map(([rail]) => rail))].map((rail) => `${rail}:${part.filter(([r]) => r === rail).map(([, n]) => n).join(",")}`);
  return { from, stay: runs(seats.slice(0, cut)), go: runs(seats.slice(cut)) };
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
    const rows = thing.rows.map((row) => field(page, thing, row)), [kind, index] = thing.id.split("-"), { path } = thing;
    const listed = { driver: scene.drivers, channel: scene.channels }[kind];
    const word = { bar: "rail", day: "program" }[kind] || kind, only = kind === "day" && scene.things.filter((t) => t.id.startsWith("day-")).length < 2;
    if (kind === "day") rows.push(...knots(page, thing));
    if (thing.removable) rows.push(button(page, `Remove this ${word}`, () => (listed ? handOver(page, listed, path.slice(0, 2), Number(index)) : [{ path: only ? ["day"] : path, value: "" }])));
    return fold(page, thing.id, thing.title, ...rows);
  });
}

// adders are the buttons that add a rail, an obstacle, a driver, a channel and a program of the day.
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
  const written = (kind) => scene.things.filter((t) => t.id.startsWith(`${kind}-`));
  const driver = () => {
    const of = ["wiring", "drivers"], n = scene.drivers.length, { from, stay, go } = halves(n ? scene.drivers : [{ modules: [] }]), feed = scene.feed;
    const dims = n && (valueOf(written("driver")[from], "channel") || scene.drivers[from].name), channel = scene.channels.some((c) => c.name === dims) && dims; // both go on dimming together
    if (n) return [{ path: [...of, from, "modules"], value: flow(stay) }, { path: [...of, n], value: flow({ name: free("driver", scene.drivers.map((d) => d.name)), modules: go, ...(channel && { channel }) }) }];
    const parts = [...new Set(scene.rails.flatMap((r) => r.modules.map((m) => m.part)))], names = scene.rails.map((r) => r.name);
    const claims = parts.length > 1 ? parts.map((part) => [`kind:${part}`]) : [names];
    const list = claims.map((modules, i) => ({ name: parts[i], ...(feed.driver && { driver: feed.driver }), modules, ...(feed.strings > 1 && { strings: feed.strings }) }));
    return [{ path: ["wiring", "driver"], value: "" }, { path: ["wiring", "strings"], value: "" }, { path: of, value: flow(list) }];
  };
  const channel = () => {
    const of = ["wiring", "channels"], { from, stay, go } = halves(scene.channels), fresh = { name: free("channel", scene.channels.map((c) => c.name)), modules: go };
    const days = written("day"), lacks = days.length && days.every((t) => valueOf(t, "channel")) ? [{ path: ["day", days.length], value: flow({ channel: fresh.name, points: scene.knots[from] }) }] : [];
    if (!written("channel").length) return [{ path: of, value: flow([...scene.channels.map((c, i) => ({ name: c.name, modules: i === from ? stay : c.modules })), fresh]) }, ...lacks];
    return [{ path: [...of, from, "modules"], value: flow(stay) }, { path: [...of, scene.channels.length], value: flow(fresh) }, ...lacks];
  };
  const program = () => {
    const days = written("day"), own = days.map((t) => valueOf(t, "channel")), times = { on: "9:00", off: "19:00", ramp: "1 h" };
    if (!days.length) return [{ path: ["day"], value: flow([times]) }];
    return [{ path: ["day", days.length], value: flow({ channel: scene.channels.find((c) => !own.includes(c.name))?.name || scene.channels[0].name, ...times }) }];
  };
  const after = (kind) => () => `${kind}-${written(kind).length}`;
  const single = scene.channels.some((c) => c.modules.length !== 1 || /[,-]/.test(c.modules[0].split(":").at(-1)));
  return make("div", { className: "adders" }, button(page, "Add a rail", rail, () => `rail-${scene.rails.length}`), button(page, "Add an obstacle", box, () => `obstacle-${scene.boxes.length}`),
    button(page, scene.drivers.length ? "Add a driver" : "Name the drivers", driver, after("driver")), ...(single ? [button(page, "Add a channel", channel, () => `channel-${scene.channels.length}`)] : []), ...(scene.channels.every((c) => written("day").some((t) => valueOf(t, "channel") === c.name)) ? [] : [button(page, written("day").length ? "Add a program" : "Add a day", program, after("day"))]));
}
