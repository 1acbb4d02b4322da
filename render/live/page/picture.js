// Painting: numbers become pixels by the same table of colours as in the PNG pictures, in one putImageData a picture, so
// that nothing flickers; outlines, isolines, rulers and scales are drawn on a canvas above.
import { Field, trace } from "./lines.js";
import { ruler } from "./units.js";
import { clamp, round } from "./state.js";

const widest = 1000; // pixels of the light's canvas; the browser smooths beyond
const leastBar = 420; // pixels of a scale with its words, however narrow the tank
export const margin = { left: 48, right: 14, top: 18, ruler: 38, bar: 42 };

// css is a colour of the page by its name, kept until the page turns dark or light: to ask lays the page out.
const colours = new Map();
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => colours.clear());
const css = (name) => {
  if (!colours.has(name)) colours.set(name, getComputedStyle(document.documentElement).getPropertyValue(name).trim());
  return colours.get(name);
};
export const number = (v) => (Math.abs(v) < 0.005 ? "0" : v >= 1000 ? Math.round(v).toString() : Number(v.toPrecision(3)).toString());

// colourTable turns "#rrggbb" texts into pixels.
export const colourTable = (texts) => Uint32Array.from(texts, (t) => {
  const v = parseInt(t.slice(1), 16);
  return (0xff000000 | ((v & 0xff) << 16) | (v & 0xff00) | (v >> 16)) >>> 0;
});

// signed are the colours and the scale of differences up to most: blue for less, white for none, red for more.
const ends = [[33, 102, 172], [247, 247, 247], [178, 24, 43]];
const mixed = Array.from({ length: 256 }, (_, i) => {
  const at = i / 127.5, [a, b] = at < 1 ? [ends[0], ends[1]] : [ends[1], ends[2]], share = at < 1 ? at : at - 1;
  return `#${a.map((v, k) => Math.round(v + share * (b[k] - v)).toString(16).padStart(2, "0")).join("")}`;
});
export function signed(most) {
  const power = 10 ** Math.floor(Math.log10(Math.max(most, 1e-6) / 2)), step = [1, 2, 5, 10].map((v) => v * power).find((v) => v * 4 >= most);
  const high = Math.max(1, Math.ceil(most / step)) * step;
  return { scale: { low: -high, high, ticks: Array.from({ length: Math.round(2 * high / step) + 1 }, (_, i) => round(i * step - high, power)) }, colours: mixed, table: colourTable(mixed) };
}

// nearest lists, for n pixels over m cells, the cell before each pixel and how far it is to the next.
function nearest(n, m, flip) {
  const cells = new Int32Array(n), shares = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const at = clamp(((flip ? n - 1 - i : i) + 0.5) / n * m - 0.5, 0, m - 1);
    cells[i] = Math.min(Math.floor(at), Math.max(m - 2, 0));
    shares[i] = at - cells[i];
  }
  return { cells, shares };
}

// paint fills a canvas with a field of nx by ny cells; flip puts its first row at the bottom. Each row of pixels mixes two
// rows of cells first, as numbers of colours. What still moves has half as many pixels each way.
export function paint(canvas, { values, nx, ny, scale, table, flip, moving }) {
  const [w, h] = canvas.size || [canvas.clientWidth, canvas.clientHeight]; // size is what a frame gave it
  const wide = Math.max(1, Math.round(Math.min(widest, w * devicePixelRatio) / (moving ? 2 : 1)));
  const high = Math.max(1, Math.round(wide * h / Math.max(w, 1)));
  if (canvas.width !== wide || canvas.height !== high) { canvas.width = wide; canvas.height = high; }
  const image = new ImageData(wide, high);
  const pixels = new Uint32Array(image.data.buffer), colours = new Float64Array(nx);
  const xs = nearest(wide, nx), ys = nearest(high, ny, flip);
  const factor = 255 / (scale.high - scale.low), right = nx > 1 ? 1 : 0, up = ny > 1 ? nx : 0;
  for (let j = 0, k = 0; j < high; j++) {
    const row = ys.cells[j] * nx, share = ys.shares[j];
    for (let i = 0; i < nx; i++) {
      const v = values[row + i];
      colours[i] = (v + share * (values[row + up + i] - v) - scale.low) * factor + 0.5;
    }
    for (let i = 0; i < wide; i++, k++) {
      const at = xs.cells[i], v = colours[at] + xs.shares[i] * (colours[at + right] - colours[at]);
      pixels[k] = table[v < 0 ? 0 : v > 255 ? 255 : v | 0];
    }
  }
  canvas.getContext("2d").putImageData(image, 0, 0);
}

// valueAt is the field at a place given as shares of the plan.
export function valueAt({ values, nx, ny }, sx, sy) {
  const x = clamp(sx * nx - 0.5, 0, nx - 1), y = clamp(sy * ny - 0.5, 0, ny - 1);
  const ix = Math.min(Math.floor(x), Math.max(nx - 2, 0)), iy = Math.min(Math.floor(y), Math.max(ny - 2, 0));
  const at = (i, j) => values[Math.min(j, ny - 1) * nx + Math.min(i, nx - 1)];
  const mix = (j) => at(ix, j) + (x - ix) * (at(ix + 1, j) - at(ix, j));
  return mix(iy) + (y - iy) * (mix(iy + 1) - mix(iy));
}

// Frame is the canvas of lines over one picture, with what it takes to draw on it. Lengths are mm, pixels are those of the page.
export class Frame {
  constructor(root) {
    this.root = root;
    this.light = root.querySelector(".light");
    this.lines = root.querySelector(".lines");
    this.ctx = this.lines.getContext("2d");
    this.font = `12px ${getComputedStyle(document.body).fontFamily}`;
  }

  // layout sizes the picture: wide by high mm at perMM pixels a mm, with room for rulers and for a scale of up to column pixels.
  layout(wide, high, perMM, column) {
    Object.assign(this, { wide, high, perMM, right: margin.left + wide * perMM, bottom: margin.top + high * perMM });
    this.barWide = Math.max(wide * perMM, Math.min(column, leastBar));
    const w = Math.ceil(margin.left + this.barWide + margin.right), h = Math.ceil(this.bottom + margin.ruler + margin.bar);
    this.root.style.width = `${w}px`;
    this.root.style.height = `${h}px`;
    this.place(this.lines, 0, 0, w, h);
    const scale = devicePixelRatio;
    if (this.lines.width !== Math.round(w * scale) || this.lines.height !== Math.round(h * scale)) {
      this.lines.width = Math.round(w * scale);
      this.lines.height = Math.round(h * scale);
    }
    this.ctx.setTransform(scale, 0, 0, scale, 0, 0);
  }
  place(node, left, top, w, h) {
    node.size = [w, h];
    Object.assign(node.style, { left: `${left}px`, top: `${top}px`, width: `${w}px`, height: `${h}px` });
  }
  x(mm) { return margin.left + mm * this.perMM; }
  y(mm) { return this.bottom - mm * this.perMM; } // up
  clear() {
    this.ctx.clearRect(0, 0, this.lines.width, this.lines.height);
    this.ctx.font = this.font;
  }

  rect(left, bottom, right, top, { fill, stroke, dash = [], width = 1.25 }) {
    const { ctx } = this;
    const box = [this.x(left), this.y(top), (right - left) * this.perMM, (top - bottom) * this.perMM];
    ctx.setLineDash(dash);
    ctx.lineWidth = width;
    if (fill) { ctx.fillStyle = fill; ctx.fillRect(...box); }
    if (stroke) { ctx.strokeStyle = stroke; ctx.strokeRect(...box); }
    ctx.setLineDash([]);
  }

  // path is that of corners in mm, closed or open.
  path(corners, open) {
    const path = new Path2D();
    corners.forEach(([x, y], i) => path[i ? "lineTo" : "moveTo"](this.x(x), this.y(y)));
    if (!open) path.closePath();
    return path;
  }
  shape(corners, { fill, stroke, width = 1.25, open }) {
    const { ctx } = this, path = this.path(corners, open);
    ctx.lineWidth = width;
    if (fill) { ctx.fillStyle = fill; ctx.fill(path); }
    if (stroke) { ctx.strokeStyle = stroke; ctx.stroke(path); }
  }

  // without takes away what was drawn outside of corners, and blank what was drawn in a rectangle.
  without(corners) {
    const { ctx } = this, path = new Path2D();
    path.rect(0, 0, this.right + margin.right, this.bottom + margin.ruler);
    path.addPath(this.path(corners));
    ctx.globalCompositeOperation = "destination-out";
    ctx.fillStyle = "#000000";
    ctx.fill(path, "evenodd");
    ctx.globalCompositeOperation = "source-over";
  }
  blank(left, bottom, right, top) { this.ctx.clearRect(this.x(left), this.y(top), (right - left) * this.perMM, (top - bottom) * this.perMM); }

  // pale strokes a path so that it shows on dark and on pale ground.
  pale(path, width) {
    const { ctx } = this;
    ctx.lineJoin = ctx.lineCap = "round";
    ctx.lineWidth = width + 1.6; ctx.strokeStyle = "rgb(16 18 28 / 30%)"; ctx.stroke(path);
    ctx.lineWidth = width; ctx.strokeStyle = "rgb(255 255 255 / 90%)"; ctx.stroke(path);
  }

  // contours draws the lines of a field whose cells fill left..right and bottom..top, each with its level where it is long
  // enough; goal is drawn heavier. Where light goes beyond the scale, up to highest, its end has a line too.
  contours(field, { left, bottom, right, top, down }, scale, goal, highest) {
    const { nx, ny } = field;
    const px = (i) => this.x(left + clamp((i + 0.5) / nx, 0, 1) * (right - left));
    const py = (j) => this.y(down ? top - clamp((j + 0.5) / ny, 0, 1) * (top - bottom) : bottom + clamp((j + 0.5) / ny, 0, 1) * (top - bottom));
    const path = new Path2D(), heavy = new Path2D(), sought = new Field(field, px, py), levels = [];
    for (const level of new Set([...scale.ticks, goal || 0, highest > scale.high * 1.005 ? scale.high : 0])) {
      if (!level || (level < 0 && scale.low >= 0)) continue;
      const lines = sought.lines(level);
      trace(level === goal ? heavy : path, lines);
      levels.push([level, lines]);
    }
    this.pale(path, 0.9);
    this.pale(heavy, 2.2);
    this.taken = [];
    for (const [level, lines] of levels) this.label(number(level), lines);
  }

  // label writes a level onto the longest of its lines, where that is straight enough and nothing stands there yet.
  label(words, lines) {
    const { ctx, taken } = this, wide = ctx.measureText(words).width + 8;
    const longest = lines.reduce((a, b) => (b.points.length > a.length ? b.points : a), []);
    const half = Math.max(2, Math.round(longest.length / 12));
    for (const share of [0.5, 0.3, 0.7, 0.15, 0.85]) {
      const i = Math.round(share * (longest.length - 1)), from = longest[i - half], to = longest[i + half], at = longest[i];
      if (!from || !to || Math.hypot(to[0] - from[0], to[1] - from[1]) < wide || taken.some(([x, y]) => Math.hypot(x - at[0], y - at[1]) < 1.6 * wide)) continue;
      if (at[0] < margin.left + wide / 2 || at[0] > this.right - wide / 2) continue;
      taken.push(at);
      let turn = Math.atan2(to[1] - from[1], to[0] - from[0]);
      if (Math.abs(turn) > Math.PI / 2) turn -= Math.sign(turn) * Math.PI;
      ctx.save();
      ctx.translate(...at);
      ctx.rotate(turn);
      this.haloed(words, 0, 0, { align: "center", base: "middle" });
      ctx.restore();
      return;
    }
  }

  // haloed writes onto light of any colour.
  haloed(words, x, y, how = {}) {
    const { ctx } = this;
    Object.assign(ctx, { lineWidth: 3, lineJoin: "round", strokeStyle: "rgb(16 18 28 / 70%)", textAlign: how.align || "left", textBaseline: how.base || "alphabetic" });
    ctx.strokeText(words, x, y);
    this.text(words, x, y, { ...how, ink: "#ffffff" });
  }

  // png is the picture as it is on the screen.
  png() {
    const { light, lines } = this, all = new OffscreenCanvas(lines.width, lines.height), on = all.getContext("2d");
    const place = (node) => ["left", "top", "width", "height"].map((side) => parseFloat(node.style[side]) * devicePixelRatio);
    on.fillStyle = css("--paper");
    on.fillRect(0, 0, lines.width, lines.height);
    for (const node of [light, lines]) on.drawImage(node, ...place(node));
    return all.convertToBlob({ type: "image/png" });
  }

  // line draws a dashed line, such as that of the cut, from x, y to x, y in mm.
  line([x1, y1, x2, y2]) {
    const path = new Path2D();
    path.moveTo(this.x(x1), this.y(y1)); path.lineTo(this.x(x2), this.y(y2));
    this.ctx.setLineDash([10, 4, 2, 4]);
    this.pale(path, 1.2);
    this.ctx.setLineDash([]);
  }

  // area outlines a part of the plane, dashed where dash says how, and writes the first of its names that has room into
  // its upper left corner.
  area(names, [left, front, right, back], dash = []) {
    const path = new Path2D(), { ctx } = this;
    path.rect(this.x(left) + 1, this.y(back) + 1, (right - left) * this.perMM - 2, (back - front) * this.perMM - 2);
    ctx.setLineDash(dash);
    this.pale(path, dash.length ? 1.4 : 2);
    ctx.setLineDash([]);
    const name = names.find((n) => ctx.measureText(n).width + 12 <= (right - left) * this.perMM);
    if (name && (back - front) * this.perMM >= 18) this.haloed(name, this.x(left) + 6, this.y(back) + 15);
  }

  text(words, x, y, { align = "left", base = "alphabetic", ink = css("--soft") } = {}) {
    Object.assign(this.ctx, { textAlign: align, textBaseline: base, fillStyle: ink });
    this.ctx.fillText(words, x, y);
  }

  // rulers draws lengths along the lower and the left edge, from zero at the lower left corner.
  rulers() {
    const { ctx } = this, { name, mm, steps } = ruler();
    const step = steps.find((v) => v * mm * this.perMM >= 56) || 2 * steps.at(-1);
    ctx.strokeStyle = css("--soft");
    ctx.lineWidth = 1;
    ctx.beginPath();
    for (let v = 0; v * mm <= this.wide + 0.01; v += step) {
      const x = this.x(v * mm);
      ctx.moveTo(x, this.bottom + 2); ctx.lineTo(x, this.bottom + 7);
      this.text(String(v), x, this.bottom + 19, { align: "center" });
    }
    for (let v = 0; v * mm <= this.high + 0.01; v += step) {
      const y = this.y(v * mm);
      ctx.moveTo(margin.left - 2, y); ctx.lineTo(margin.left - 7, y);
      this.text(String(v), margin.left - 10, clamp(y, margin.top + 6, this.bottom), { align: "right", base: "middle" });
    }
    ctx.stroke();
    this.text(name, margin.left - 10, this.bottom + 19, { align: "right" });
  }

  // bar draws the scale of colours under the rulers, with an arrow at its end where the light goes on to a highest value.
  bar(scale, colours, unit, goal, highest) {
    const { ctx } = this;
    const top = this.bottom + margin.ruler + 4, high = 10;
    const marked = goal > scale.low && goal < scale.high;
    const over = highest > scale.high * 1.005;
    const words = (over ? `up to ${number(highest)} ${unit}` : unit) + (marked ? `; bold: goal ${number(goal)}` : "");
    const unitWide = ctx.measureText(words).width + 14;
    const left = margin.left, wide = Math.min(this.barWide - unitWide, 560);
    const at = (v) => left + clamp((v - scale.low) / (scale.high - scale.low), 0, 1) * wide;
    const shade = ctx.createLinearGradient(left, 0, left + wide, 0);
    for (let i = 0; i <= 32; i++) shade.addColorStop(i / 32, colours[Math.round(i / 32 * 255)]);
    ctx.fillStyle = shade;
    ctx.fillRect(left, top, wide, high);
    ctx.strokeStyle = css("--soft");
    ctx.lineWidth = 1;
    ctx.beginPath();
    this.labels = []; // from where to where each one reaches
    for (const v of scale.ticks) {
      ctx.moveTo(at(v), top + high); ctx.lineTo(at(v), top + high + 4);
      const half = ctx.measureText(number(v)).width / 2, last = this.labels.at(-1);
      if (last && at(v) - half < last[1] + 4) continue; // its line alone
      this.labels.push([at(v) - half, at(v) + half]);
      this.text(number(v), at(v), top + high + 16, { align: "center" });
    }
    ctx.stroke();
    this.text(words, left + wide + (over ? 14 : 10), top + high, { ink: css("--ink") });
    if (over) {
      ctx.fillStyle = css("--soft");
      ctx.beginPath(); ctx.moveTo(left + wide, top); ctx.lineTo(left + wide + 8, top + high / 2); ctx.lineTo(left + wide, top + high); ctx.fill();
    }
    if (marked) {
      ctx.lineWidth = 3;
      ctx.strokeStyle = css("--ink");
      ctx.beginPath(); ctx.moveTo(at(goal), top - 4); ctx.lineTo(at(goal), top + high); ctx.stroke();
    }
  }
}
export { css };
