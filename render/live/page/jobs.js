// Jobs that look for a better light: they run beside the page, tell how far they are, and end when they are cancelled.
import { shownScene } from "./ask.js";
import { make } from "./controls.js";
import { smallPlan } from "./plan.js";

// run starts a job and returns { previews, notes }, { refused } or, once cancelled, null. told gets { done, total }.
async function run(name, request, told, signal) {
  try {
    const response = await fetch(`job/${name}`, { method: "POST", headers: { "Content-Type": "application/json" }, body: request, signal });
    if (!response.ok) return { refused: await response.text() };
    const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "", last = null;
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return last || { refused: "the program has ended" };
      const lines = (rest + value).split("\n");
      rest = lines.pop();
      for (const line of lines) {
        const one = JSON.parse(line);
        if ("done" in one) told(one);
        else last = shownScene(one);
      }
    }
  } catch (error) {
    return error.name === "AbortError" ? null : { refused: "the program does not answer" };
  }
}

// Job shows one job in a box: what it does, how far it is, and what it found, as cards of which one can be taken.
export class Job {
  // request() gives the body, take(preview) is called with what was chosen, words are said while it runs, ended() is called
  // where it found nothing.
  constructor(root, { name, words, takes, request, take, ended = () => {} }) {
    Object.assign(this, { root, name, words, takes, request, take, ended });
    this.status = make("p", { role: "status", className: "job-status" });
    this.far = make("progress", { ariaLabel: "how far it is" });
    this.stop = make("button", { type: "button", textContent: "Cancel", className: "job-cancel" });
    this.stop.addEventListener("click", () => this.cancel());
    this.cards = make("div", { className: "previews" });
    root.replaceChildren(this.status, make("div", { className: "job-far" }, this.far, this.stop), this.cards);
  }

  async start() {
    this.cancel();
    const running = new AbortController();
    this.running = running;
    this.show(true, this.words);
    const found = await run(this.name, this.request(), ({ done, total }) => { if (total > 1) Object.assign(this.far, { max: total, value: done }); }, running.signal);
    if (this.running !== running) return;
    this.running = null;
    if (found?.written) return this.take(found);
    if (!found || found.refused) {
      this.show(false, found ? `${found.refused[0].toUpperCase()}${found.refused.slice(1)}.` : "Cancelled.");
      return this.ended();
    }
    this.show(false, found.previews.length === 1 ? "One proposal:" : `${found.previews.length} proposals; take one, or leave them.`);
    this.cards.replaceChildren(...found.previews.map((p) => this.card(p)), ...found.notes.map((text) => make("p", { className: "small", textContent: `${text[0].toUpperCase()}${text.slice(1).replace(/\.$/, "")}.` })));
    this.cards.querySelector("button")?.focus({ preventScroll: true });
    this.status.scrollIntoView({ block: "start" });
  }
  cancel() { this.running?.abort(); }

  show(busy, text) {
    this.root.hidden = false;
    this.root.dataset.busy = busy;
    this.status.textContent = text;
    this.far.parentElement.hidden = !busy;
    if (!busy) return;
    this.far.removeAttribute("value");
    this.cards.replaceChildren();
  }

  card(p) {
    const take = make("button", { type: "submit", textContent: this.takes });
    const title = `${p.name[0].toUpperCase()}${p.name.slice(1)}`;
    take.setAttribute("aria-label", `${this.takes}: ${p.name}`);
    take.addEventListener("click", () => this.take(p));
    const rows = p.figures.map(([name, value]) => make("div", {}, make("dt", { textContent: name }), make("dd", { textContent: value })));
    return make("article", { className: "preview" }, make("h3", { textContent: title }), smallPlan(p, `plan of the light: ${p.name}`),
      make("p", { className: p.met ? "met" : "unmet", textContent: p.met ? "goal met" : "goal not met" }),
      make("dl", {}, ...rows), make("p", { className: "small", textContent: p.words }), take);
  }
}
