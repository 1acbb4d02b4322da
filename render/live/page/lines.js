// Isolines: the lines along which a field has a level, by marching squares, joined from square to square, so that a ring
// too short to mean anything can be told from a line and left out. The PNG pictures do the same.
import { clamp } from "./state.js";

const shortestRing = 34; // pixels; a shorter ring is a bead that a step in the field leaves between its cells

// pairs are the edges that a line joins in a square, by which of its corners are high; edges and corners count from the
// lower left one round. Squares with two high corners across from each other are saddles.
const pairs = [[], [3, 0], [0, 1], [3, 1], [1, 2], null, [0, 2], [2, 3], [2, 3], [0, 2], null, [1, 2], [3, 1], [0, 1], [3, 0], []];
const saddles = [[[3, 0], [1, 2]], [[0, 1], [2, 3]]]; // round the corners a and c; round the two others

// Field is a field of cells in which lines are sought, one level after the other. px and py place the middles of cells on
// the page; the cells at the border reach on to -1 and to nx and ny.
export class Field {
  constructor({ values, nx, ny }, px, py) {
    const wide = nx + 2, high = ny + 2;
    Object.assign(this, { wide, high, values: new Float64Array(wide * high), links: new Int32Array(4 * wide * high), touched: [] });
    this.xs = Float64Array.from({ length: wide }, (_, i) => px(i - 1));
    this.ys = Float64Array.from({ length: high }, (_, j) => py(j - 1));
    for (let j = 0, k = 0; j < high; j++) {
      const row = clamp(j - 1, 0, ny - 1) * nx;
      for (let i = 0; i < wide; i++, k++) this.values[k] = values[row + clamp(i - 1, 0, nx - 1)];
    }
  }

  // lines returns the lines of a level: points in pixels, and whether they are a ring. Short rings are left out.
  lines(level) {
    const { wide, high, values } = this;
    this.touched.length = 0;
    for (let j = 0; j + 1 < high; j++) {
      for (let i = 0, at = j * wide; i + 1 < wide; i++, at++) {
        const a = values[at] >= level, b = values[at + 1] >= level, c = values[at + wide + 1] >= level, d = values[at + wide] >= level;
        if (a !== b || a !== c || a !== d) this.square(at, a | b << 1 | c << 2 | d << 3, level);
      }
    }
    const out = [];
    for (const ends of [true, false]) { // open lines from their ends, then what is left, the rings
      for (const e of this.touched) {
        if (!this.links[2 * e] || (ends && this.links[2 * e + 1])) continue;
        const points = this.walk(e, level);
        if (ends || length(points) >= shortestRing) out.push({ points, ring: !ends });
      }
    }
    return out;
  }

  // square links the crossings of the square whose first corner is at. A crossing is known by its edge: twice the corner
  // that the edge comes from, and one more where it goes to the next row.
  square(at, kind, level) {
    const edges = [2 * at, 2 * (at + 1) + 1, 2 * (at + this.wide), 2 * at + 1];
    if (pairs[kind]) { this.link(edges[pairs[kind][0]], edges[pairs[kind][1]]); return; }
    const { values, wide } = this;
    const middle = (values[at] + values[at + 1] + values[at + wide] + values[at + wide + 1]) / 4 >= level;
    for (const [from, to] of saddles[Number((kind === 5) === middle)]) this.link(edges[from], edges[to]);
  }

  link(a, b) { this.join(a, b); this.join(b, a); }

  // join notes that a line goes on from crossing a to b. A note is the crossing plus one; 0 is none.
  join(a, b) {
    const { links } = this;
    if (links[2 * a]) { links[2 * a + 1] = b + 1; return; }
    links[2 * a] = b + 1;
    this.touched.push(a);
  }

  // walk follows a line from a crossing and takes its links away.
  walk(e, level) {
    const { links } = this;
    const points = [this.crossing(e, level)];
    for (;;) {
      const next = (links[2 * e] || links[2 * e + 1]) - 1;
      links[2 * e] = links[2 * e + 1] = 0;
      if (next < 0) return points;
      if (links[2 * next] === e + 1) links[2 * next] = links[2 * next + 1];
      links[2 * next + 1] = 0;
      points.push(this.crossing(next, level));
      e = next;
    }
  }

  // crossing is where the level lies on an edge.
  crossing(e, level) {
    const { wide, values, xs, ys } = this;
    const at = e >> 1, i = at % wide, j = (at - i) / wide, down = e & 1;
    const from = values[at], t = (level - from) / (values[at + (down ? wide : 1)] - from);
    return down ? [xs[i], ys[j] + t * (ys[j + 1] - ys[j])] : [xs[i] + t * (xs[i + 1] - xs[i]), ys[j]];
  }
}

function length(points) {
  let sum = 0;
  for (let k = 1; k < points.length; k++) sum += Math.hypot(points[k][0] - points[k - 1][0], points[k][1] - points[k - 1][1]);
  return sum;
}

// trace adds lines to a path.
export function trace(path, lines) {
  for (const { points, ring } of lines) {
    points.forEach(([x, y], k) => (k ? path.lineTo(x, y) : path.moveTo(x, y)));
    if (ring) path.closePath();
  }
}
