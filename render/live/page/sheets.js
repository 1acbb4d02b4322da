// The sheets: what the commands draw of the state on the screen, over the slice. They are asked for once nothing moves.
import { body } from "./ask.js";
import { make } from "./controls.js";

const $ = (id) => document.getElementById(id);
const names = { wiring: "Wiring", heat: "Heat", balance: "Flux balance", money: "Money and energy", drilling: "Drilling", day: "Day" };

// which says on which sheet a reason why a light cannot be built is explained.
const which = (code) => (/too-hot|heat/.test(code) ? "heat" : /feed|driver|strings|wired/.test(code) ? "wiring" : /beyond-end|keep-out|boards/.test(code) ? "drilling" : "");

export class Sheets {
  constructor(page) {
    Object.assign(this, { page, name: "", asked: "" });
    $("chips").replaceChildren(...["", ...Object.keys(names)].map((name) => {
      const chip = make("button", { type: "button", className: "chip", textContent: names[name] || "Slice" });
      chip.dataset.sheet = name;
      chip.addEventListener("click", () => this.open(name));
      return chip;
    }));
    $("sheet-picture").addEventListener("error", () => this.read(this.url));
    $("sheet-picture").addEventListener("load", () => this.done(""));
    this.mark();
  }

  open(name) {
    Object.assign(this, { name, asked: "" });
    $("cut-part").hidden = Boolean(name);
    $("sheet").hidden = !name;
    this.mark();
    this.refresh();
    if (!name) this.page.redraw();
  }

  // mark says which sheet is open, and which one explains why the light cannot be built.
  mark(code = this.code || "") {
    this.code = code;
    for (const chip of $("chips").children) {
      chip.setAttribute("aria-pressed", chip.dataset.sheet === this.name);
      const grave = Boolean(code) && which(code) === chip.dataset.sheet;
      chip.classList.toggle("grave", grave);
      chip.textContent = `${names[chip.dataset.sheet] || "Slice"}${grave ? ": to be changed" : ""}`;
    }
  }

  // refresh draws the open sheet anew where the state has changed.
  refresh() {
    const state = body(this.page.state());
    if (!this.name || this.asked === state) return;
    this.asked = state;
    const url = this.url = `sheet/${this.name}?state=${encodeURIComponent(state)}`;
    $("sheet-says").textContent = "Drawing \u2026";
    $("sheet-picture").alt = `${names[this.name]} of the scene as it is on the screen`;
    $("sheet-large").href = url;
    if (this.name !== "money") { $("sheet-picture").src = url; return; }
    this.read(url);
  }
  // read shows a sheet that is text: a table, or why there is no picture.
  async read(url) {
    const text = await fetch(url).then((r) => r.text()).catch(() => "Not possible: the program does not answer");
    const table = text.startsWith("  ");
    if (url === this.url) this.done(table ? "" : text, table ? text : "");
  }
  done(says, text = "") {
    $("sheet-says").textContent = says;
    $("sheet-text").textContent = text;
    $("sheet-text").hidden = !text;
    $("sheet-picture").hidden = $("sheet-large").hidden = Boolean(says || text);
  }
}
