// Small plans: a tank from above, the back at the top, with its rails and modules, and its light where that is known.
import { make } from "./controls.js";

const wide = 220, high = 120, edge = 8; // CSS pixels

// smallPlan returns a picture of a sketch: { length_mm, width_mm, rails_mm, modules_mm } and perhaps { light, outline_mm }.
export function smallPlan(sketch, words) {
  const canvas = make("canvas", { className: "small-plan", role: "img" });
  canvas.setAttribute("aria-label", words);
  const draw = () => {
    const per = Math.min((wide - 2 * edge) / sketch.length_mm, (high - 2 * edge) / sketch.width_mm), dots = devicePixelRatio || 1;
    canvas.width = wide * dots;
    canvas.height = high * dots;
    const style = getComputedStyle(document.documentElement), colour = (name) => style.getPropertyValue(name);
    const at = canvas.getContext("2d");
    at.scale(dots, dots);
    const left = (wide - sketch.length_mm * per) / 2, bottom = (high + sketch.width_mm * per) / 2;
    const x = (v) => left + v * per, y = (v) => bottom - v * per;
    const box = [x(0), y(sketch.width_mm), sketch.length_mm * per, sketch.width_mm * per];
    const inside = new Path2D();
    if (sketch.outline_mm?.length) sketch.outline_mm.forEach(([px, py], i) => inside[i ? "lineTo" : "moveTo"](x(px), y(py)));
    else inside.rect(...box);
    inside.closePath();
    at.fillStyle = colour("--air");
    at.fill(inside);
    at.save();
    at.clip(inside);
    if (sketch.light) paint(at, sketch.light, box);
    at.restore();
    at.strokeStyle = colour("--wall");
    at.lineWidth = 2;
    at.stroke(inside);
    for (const [x1, y1, x2, y2] of sketch.rails_mm) {
      at.strokeStyle = colour("--rail");
      at.lineWidth = 3;
      at.beginPath();
      at.moveTo(x(x1), y(y1));
      at.lineTo(x(x2), y(y2));
      at.stroke();
    }
    for (const [mx, my] of sketch.modules_mm) {
      at.fillStyle = "#ffffff";
      at.strokeStyle = "#10121c";
      at.lineWidth = 1;
      at.fillRect(x(mx) - 3, y(my) - 3, 6, 6);
      at.strokeRect(x(mx) - 3, y(my) - 3, 6, 6);
    }
  };
  draw();
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  return canvas;
}

// paint fills a box with cells of light, whose first is at the front left.
function paint(at, { nx, ny, cells, colours }, [left, top, width, height]) {
  const small = new OffscreenCanvas(nx, ny), on = small.getContext("2d");
  cells.forEach((c, i) => {
    on.fillStyle = colours[c];
    on.fillRect(i % nx, ny - 1 - Math.floor(i / nx), 1, 1);
  });
  at.imageSmoothingEnabled = true;
  at.drawImage(small, left, top, width, height);
}
