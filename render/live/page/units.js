// Lengths as a person of the scene writes them: in inches where the scene file does, else in millimetres.
export const units = { inches: false };
const perInch = 25.4;

// length writes a length, mm to a step.
export const length = (mm, step = 1) => (units.inches ? `${Number((mm / perInch).toFixed(2))} in` : `${Number((Math.round(mm / step) * step).toFixed(3))} mm`);

// ruler returns the unit of rulers: its name, its mm and the steps that marks may have.
export const ruler = () => (units.inches ? { name: "in", mm: perInch, steps: [0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200] } : { name: "mm", mm: 1, steps: [10, 20, 50, 100, 200, 500, 1000, 2000, 5000] });

// inInches gives a slider of mm the same quantity in inches.
export function inInches(props) {
  if (!units.inches || props.unit !== "mm") return props;
  const scaled = (v) => (typeof v === "number" ? v / perInch : v);
  return { ...props, unit: "in", step: 0.125, of: () => { const { value, min, max, ...more } = props.of(); return { ...more, value: scaled(value), min: scaled(min), max: scaled(max) }; },
    set: (v) => props.set(Math.round(v * perInch * 1000) / 1000) };
}
