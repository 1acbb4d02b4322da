// The state of this page: what the sliders say, and what they said before. No other page shares it.

export const copy = (value) => JSON.parse(JSON.stringify(value));

// history holds states that were settled on; the last one always is the state that the page shows when nothing moves.
export class History {
  constructor(state) {
    this.states = [JSON.stringify(state)];
    this.at = 0;
  }
  get now() { return JSON.parse(this.states[this.at]); }
  get first() { return JSON.parse(this.states[0]); }
  get canUndo() { return this.at > 0; }
  get canRedo() { return this.at + 1 < this.states.length; }

  // settle notes a state; one that changes nothing is not noted.
  settle(state) {
    const text = JSON.stringify(state);
    if (text === this.states[this.at]) return;
    this.states.splice(this.at + 1);
    this.states.push(text);
    if (this.states.length > 500) this.states.splice(1, 1); // the first one, as in the file, stays
    this.at = this.states.length - 1;
  }
  undo() { if (this.canUndo) this.at--; return this.now; }
  redo() { if (this.canRedo) this.at++; return this.now; }
}

export const clamp = (v, low, high) => Math.min(Math.max(v, low), high);
export const round = (v, step) => Number((Math.round(v / step) * step).toFixed(6));

// Rails: places of modules as the sweep command changes them, about the same middle.

const ends = (rail) => {
  const xs = rail.modules.map((m) => m.x_mm);
  return [Math.min(...xs), Math.max(...xs)];
};

export function spacing(rail) {
  if (rail.modules.length < 2) return 0;
  const [low, high] = ends(rail);
  return (high - low) / (rail.modules.length - 1);
}

// isEven tells whether neighbours are equally far apart.
export function isEven(rail) {
  const xs = rail.modules.map((m) => m.x_mm).sort((a, b) => a - b);
  const step = spacing(rail);
  return xs.every((x, i) => i === 0 || Math.abs(x - xs[i - 1] - step) < 0.51);
}

export function setSpacing(rail, step) {
  const [low, high] = ends(rail);
  const middle = (low + high) / 2;
  const n = rail.modules.length;
  rail.modules.sort((a, b) => a.x_mm - b.x_mm);
  rail.modules.forEach((m, i) => { m.x_mm = round(middle + (i - (n - 1) / 2) * step, 0.001); });
}

// setCount puts n modules on a rail, as far apart as before; unlike modules keep taking turns.
export function setCount(rail, n, railLength) {
  const [low, high] = ends(rail);
  const middle = (low + high) / 2;
  const step = spacing(rail) || railLength / n;
  const pattern = [...rail.modules].sort((a, b) => a.x_mm - b.x_mm);
  rail.modules = Array.from({ length: n }, (_, i) => ({
    like: pattern[i % pattern.length].like,
    x_mm: round(middle + (i - (n - 1) / 2) * step, 0.001),
  }));
}
