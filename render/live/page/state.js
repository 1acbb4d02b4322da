// The state of this page: what the sliders say, and what they said before. No other page shares it.

export const copy = (value) => JSON.parse(JSON.stringify(value));

const runMS = 1000; // key presses on one thing that follow each other within this time are one step
const keptSteps = 100; // of a draft; a store of a tab holds a few megabytes

// History holds states that were settled on; the last one always is the state that the page shows when nothing moves.
export class History {
  constructor(state, draft) {
    this.states = draft ? draft.states : [JSON.stringify(state)];
    this.at = draft ? draft.at : 0;
  }
  get now() { return JSON.parse(this.states[this.at]); }
  get first() { return JSON.parse(this.states[0]); }
  get canUndo() { return this.at > 0; }
  get canRedo() { return this.at + 1 < this.states.length; }

  // settle notes a state; one that changes nothing is not noted. run names the thing that a key moves, if one does.
  settle(state, run = "") {
    const text = JSON.stringify(state), now = performance.now();
    if (text === this.states[this.at]) return;
    const goesOn = run && run === this.run && now - this.since < runMS;
    this.states.splice(goesOn ? this.at : this.at + 1);
    this.states.push(text);
    if (this.states.length > 500) this.states.splice(1, 1); // the first one, as in the file, stays
    this.at = this.states.length - 1;
    Object.assign(this, { run, since: now });
  }
  undo() { this.run = ""; if (this.canUndo) this.at--; return this.now; }
  redo() { this.run = ""; if (this.canRedo) this.at++; return this.now; }

  // draft is what a tab keeps over a reload: the first state and the newest ones.
  get draft() {
    const drop = Math.min(Math.max(this.states.length - keptSteps, 0), Math.max(this.at - 1, 0));
    return { states: [this.states[0], ...this.states.slice(1 + drop)], at: this.at === 0 ? 0 : this.at - drop };
  }
}

// The file that the page is of, as its address says; empty for the one that the program was started with.
export const fileHere = () => new URLSearchParams(location.search).get("file") || "";
// addressOf is that of the page of a file, of a version that it does not hold where one is given.
export const addressOf = (file, version) => `./?${new URLSearchParams({ file, ...(version ? { version } : {}) })}`;

// Drafts of this tab by the file in its address, which outlast a reload: the one that is worked on, and those that a newer file was loaded over.
const shelf = (key) => ({
  get: () => { try { return JSON.parse(sessionStorage.getItem(location.pathname + fileHere() + key)); } catch { return null; } },
  set: (value, file = fileHere()) => { try { sessionStorage.setItem(location.pathname + file + key, JSON.stringify(value)); return true; } catch { return false; } },
});
export const draft = shelf("draft"), aside = shelf("aside");

export const clamp = (v, low, high) => Math.min(Math.max(v, low), high);
export const round = (v, step) => Number((Math.round(v / step) * step).toFixed(6));

// Rails: places of modules as the sweep command changes them, about the same middle.

const ends = (rail) => {
  const xs = rail.modules.map((m) => m.x_mm);
  return [Math.min(...xs), Math.max(...xs)];
};
const inOrder = (rail) => [...rail.modules].sort((a, b) => a.x_mm - b.x_mm);

export function spacing(rail) {
  if (rail.modules.length < 2) return 0;
  const [low, high] = ends(rail);
  return (high - low) / (rail.modules.length - 1);
}

// isEven tells whether neighbours are equally far apart.
export function isEven(rail) {
  const xs = inOrder(rail).map((m) => m.x_mm);
  const step = spacing(rail);
  return xs.every((x, i) => i === 0 || Math.abs(x - xs[i - 1] - step) < 0.51);
}

// room is how far along the tank the middles of a rail's boards may stand, and the longest board. on has the rail of the
// scene and the tank's length. Modules that the file put farther out may stay there.
export function room(rail, { own, length }) {
  const board = Math.max(...own.modules.map((m) => m.length_mm)), right = own.left_mm + own.length_mm;
  const beside = Math.min(right, length) - Math.max(own.left_mm, 0) < board;
  const [low, high] = ends(rail);
  return { board, low: Math.min(low, (beside ? own.left_mm : Math.max(own.left_mm, 0)) + board / 2), high: Math.max(high, (beside ? right : Math.min(right, length)) - board / 2) };
}

export const mostThatFit = (rail, on) => { const r = room(rail, on); return Math.max(1, Math.floor((r.high - r.low) / r.board + 1 + 1e-9)); };
export const widestSpacing = (rail, on) => { const r = room(rail, on); return (r.high - r.low) / Math.max(1, rail.modules.length - 1); };

// placed puts modules a step apart about a middle, moved so far that all stand within the room.
function placed(modules, step, rail, on) {
  const { low, high } = room(rail, on);
  const [first, last] = ends(rail), half = (modules.length - 1) / 2 * step;
  const middle = clamp((first + last) / 2, low + half, Math.max(low + half, high - half));
  return modules.map((m, i) => ({ ...m, x_mm: round(middle - half + i * step, 0.001) }));
}

export function setSpacing(rail, step, on) {
  const words = isEven(rail) ? "" : "The modules are now spaced equally.";
  rail.modules = placed(inOrder(rail), step, rail, on);
  return words;
}

// setCount puts n modules on a rail that was another: as far apart as before, or closer where so many would not fit. Kinds that take
// turns in the file go on taking turns; another order of kinds is stretched or shortened. It returns in words what it did.
export function setCount(rail, n, was, on) {
  rail.modules = copy(was.modules);
  if (n === was.modules.length) return "";
  const { low, high, board } = room(was, on);
  const wish = spacing(was) || spacing(on.start) || (high - low) / n;
  const most = (high - low) / Math.max(1, n - 1);
  const step = wish <= most ? wish : Math.max(Math.floor(most), Math.min(most, board));
  rail.modules = placed(likesFor(n, on).map((like) => ({ like, ...was.modules.find((m) => m.like === like) })), step, was, on);
  const words = [];
  const kinds = kindsOf(on.own);
  if (new Set(kinds).size > 1) words.push([...new Set(kinds)].map((k) => `${rail.modules.filter((m) => kinds[m.like] === k).length} ${k}`).join(", "));
  if (step < wish) words.push(`${round(step, 0.1)} mm apart in place of ${round(wish, 0.1)} mm, so that they fit`);
  if (!isEven(was)) words.push("spaced equally now");
  return words.length ? `${n} ${n === 1 ? "module" : "modules"}: ${words.join("; ")}.` : "";
}

// kindsOf names the kind of each module of the file's rail: its part, and what else tells it from others of that part.
function kindsOf({ modules }) {
  const differs = (key) => modules.some((m) => modules.some((o) => o.part === m.part && o[key] !== m[key]));
  const optics = differs("optic"), currents = differs("current_ma");
  return modules.map((m) => [m.part, optics && m.optic, currents && `${round(m.current_ma, 0.1)} mA`].filter(Boolean).join(" "));
}

// likesFor chooses which module of the file's rail each of n is like.
function likesFor(n, { own, start }) {
  const likes = inOrder(start).map((m) => m.like), kinds = kindsOf(own), most = likes.length;
  const repeats = (p) => likes.every((like, i) => kinds[like] === kinds[likes[i % p]]);
  const turns = most <= 2 || likes.some((_, p) => p > 0 && repeats(p));
  return Array.from({ length: n }, (_, i) => likes[turns ? (i < most ? i : i % period(most, repeats)) : Math.floor((i + 0.5) / n * most)]);
}
const period = (most, repeats) => { for (let p = 1; p < most; p++) if (repeats(p)) return p; return most; };
