// Asking the program for the light of a state. One question is under way at a time; of those that come meanwhile the
// newest alone is asked next, so the last one always wins.

const slowMS = 150; // a question that takes longer is dropped for one that was settled on

// The program speaks in SI units, by which keys end; the page counts in mm, degrees and mA.
const tidy = (v) => Math.round(v * 1e6) / 1e6, radPerDeg = Math.PI / 180;
const shown = { m: ["mm", (v) => tidy(v * 1000)], rad: ["deg", (v) => tidy(v / radPerDeg)], a: ["ma", (v) => tidy(v * 1000)], share: ["percent", (v) => tidy(v * 100)] };
const told = { mm: ["m", (v) => v / 1000], deg: ["rad", (v) => v * radPerDeg], ma: ["a", (v) => v / 1000], percent: ["share", (v) => v / 100] };

// inUnits returns a value with all quantities below it in other units. A key such as extra_per_m is no length.
function inUnits(units, value, turn) {
  if (Array.isArray(value)) return value.map((v) => inUnits(units, v, turn));
  if (value === null || typeof value !== "object") return turn && value !== null ? turn(value) : value;
  return Object.fromEntries(Object.entries(value).map(([key, v]) => {
    const [, stem, unit] = key.match(/^(.*(?<!_per)_)([a-z]+)$/) || [];
    const [to, other] = units[unit] || [];
    return to ? [stem + to, inUnits(units, v, other)] : [key, inUnits(units, v)];
  }));
}
export const shownScene = (scene) => inUnits(shown, scene);
// body is a value as the program takes it.
export const body = (state) => JSON.stringify(inUnits(told, state));

export class Asker {
  // answered gets each answer, failed each error, idle is called when nothing is left to ask.
  constructor({ answered, failed, idle }) {
    Object.assign(this, { answered, failed, idle, waiting: null, running: null, since: 0 });
  }

  ask(state, settled) {
    this.waiting = body(state);
    if (!this.running) this.pump();
    else if (settled && performance.now() - this.since > slowMS) this.running.abort();
  }

  async pump() {
    let answer = null;
    const tell = () => { if (answer) this.answered(answer); answer = null; };
    while (this.waiting !== null) {
      const question = this.waiting;
      this.waiting = null;
      this.running = new AbortController();
      this.since = performance.now();
      try {
        const coming = light(question, this.running.signal);
        tell(); // while the program computes the next
        answer = await coming;
      } catch (error) {
        if (error.name !== "AbortError") this.failed(error);
      }
    }
    tell();
    this.running = null;
    this.idle();
  }
}

// light asks for the light of one state.
export async function light(question, signal) {
  const response = await fetch("light", { method: "POST", headers: { "Content-Type": "application/json" }, body: question, signal });
  if (!response.ok) throw new Error(await response.text());
  return unpack(await response.arrayBuffer());
}

// seen asks for the picture of the lit tank of one state.
export async function seen(question, signal) {
  const response = await fetch("seen", { method: "POST", headers: { "Content-Type": "application/json" }, body: question, signal });
  if (!response.ok) throw new Error(await response.text());
  const buffer = await response.arrayBuffer(), { head, rest } = headOf(buffer);
  return { head, png: new Uint8Array(buffer, rest) };
}

// headOf is the text of an answer, before which four bytes tell its length, and where what follows begins.
function headOf(buffer) {
  const length = new DataView(buffer).getUint32(0, true);
  return { head: inUnits(shown, JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length)))), rest: 4 + length };
}

// unpack takes an answer apart: its text, and numbers.
function unpack(buffer) {
  const { head, rest } = headOf(buffer);
  if (head.refused) return { refused: head.refused };
  const numbers = new Float32Array(buffer, rest);
  const cells = head.plane.nx * head.plane.ny, slice = head.section.n * head.section.nz;
  return { head, lux: numbers.subarray(0, cells), ppfd: numbers.subarray(cells, 2 * cells), cut: { lux: numbers.subarray(2 * cells, 2 * cells + slice), ppfd: numbers.subarray(2 * cells + slice) } };
}

// post sends a value and returns the program's answer, which has { refused } where it says no.
export async function post(path, value) {
  const response = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: body(value) });
  if (!response.ok) throw new Error(await response.text());
  return response.json();
}

// check returns what is odd and what can hurt in a state, as { warnings, cautions }, or { refused }.
export const check = (state) => post("check", state);

// listen calls heard with the numbers of the versions that the files hold, by their names, and lost when the program has ended. A browser opens
// few connections to one address, so of all pages one listens and tells the others.
export function listen(heard, lost) {
  const channel = new BroadcastChannel(`fathomlux ${location.pathname}`);
  const hear = (text) => (text === "lost" ? lost() : heard(JSON.parse(text)));
  channel.onmessage = (event) => hear(event.data);
  navigator.locks.request(`fathomlux ${location.pathname}`, () => new Promise(() => {
    const source = new EventSource("versions");
    const tell = (text) => { channel.postMessage(text); hear(text); };
    source.onmessage = (event) => tell(event.data);
    source.onerror = () => tell("lost");
  }));
}
