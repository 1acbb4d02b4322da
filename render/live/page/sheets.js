// The sheets: what the commands draw of the state on the screen, over the slice. They are asked for once nothing moves.
import { body } from "./ask.js";
import { make, put } from "./controls.js";
import { saver } from "./saves.js";

const $ = (id) => document.getElementById(id);
const names = { view: "As seen", wiring: "Wiring", heat: "Heat", balance: "Flux balance", money: "Money", drilling: "Drilling", day: "Day", compare: "Compare" };
const pictures = ["png", "svg", "pdf"];
const formats = { money: ["csv", "txt"], drilling: ["a4", "letter", "svg", "csv"], compare: [...pictures, "csv"], heat: [...pictures, "csv"], day: [...pictures, "csv"] };

// which says on which sheet something that was found is explained.
const which = (code) => (/over-budget/.test(code) ? "money" : /too-hot|heat|hot-metal/.test(code) ? "heat" : /feed|driver|strings|wired|volt/.test(code) ? "wiring" : /beyond-end|keep-out|boards/.test(code) ? "drilling" : "");

export class Sheets {
  constructor(page) {
    Object.assign(this, { page, name: "", asked: "", found: [] });
    $("chips").replaceChildren(...["", ...Object.keys(names)].map((name) => {
      const chip = make("button", { type: "button", className: "chip", textContent: names[name] || "Slice" });
      chip.dataset.sheet = name;
      chip.addEventListener("click", () => this.open(name));
      return chip;
    }));
    $("sheet-picture").addEventListener("error", () => this.read(this.url));
    $("sheet-picture").addEventListener("load", () => this.done(""));
    $("sheet-rail").addEventListener("change", () => { this.asked = ""; this.refresh(); });
    const seen = () => encodeURIComponent(body({ ...page.state(), view: page.view }));
    const shown = (name) => (format) => `sheet/${name}?state=${seen()}&${new URLSearchParams({ quantity: $("quantity").value, format })}`;
    const different = () => page.pins.against;
    $("plane-goal").after(saver("the plan", () => (different() ? ["png"] : pictures), async (format) => (different() ? { blob: await page.pictures.plan.png(), name: "difference.png" } : shown("plan")(format))));
    this.saver = saver("what is shown here", () => formats[this.name] || pictures, (format) => {
      if (!this.name) return shown("slice")(format);
      const paper = format === "a4" || format === "letter" ? format : "";
      return `${this.url}&${new URLSearchParams({ format: paper ? "pdf" : format, paper })}`;
    });
    $("pane").append(this.saver);
    this.mark();
  }

  open(name) {
    Object.assign(this, { name, asked: "" });
    $("cut-part").hidden = Boolean(name);
    $("seen").hidden = name !== "view";
    $("sheet").hidden = !name || name === "view";
    this.saver.open = false;
    if (!name || name === "view") this.saver.hidden = false;
    this.mark();
    this.refresh();
    if (!name) this.page.redraw();
  }

  // mark says which sheet is open, and which ones explain what was found.
  mark(found = this.found) {
    this.found = found;
    for (const chip of $("chips").children) {
      const { sheet } = chip.dataset, here = found.filter((f) => sheet && which(f.code) === sheet);
      const grave = here.some((f) => f.grave);
      put(chip, { "aria-pressed": sheet === this.name, className: `chip${grave ? " grave" : here.length ? " odd" : ""}` });
      const [shape, word] = grave ? ["\u25a0 ", ": to be changed"] : here.length ? ["\u25b2 ", ": see the warning"] : ["", ""];
      const words = `${shape}${names[sheet] || "Slice"}`;
      if (chip.textContent !== words + word) chip.replaceChildren(words, ...(word ? [make("span", { className: "spoken", textContent: word })] : []));
      put(chip, { hidden: (sheet === "compare" && this.name !== sheet && !this.page.pins?.list.length) || (sheet === "view" && !this.page.scene.eyes.length) });
    }
  }

  // query is what the open sheet is asked for with.
  query() {
    const { page } = this;
    if (this.name === "compare") return page.pins.query();
    const state = `state=${encodeURIComponent(body(page.state()))}`;
    if (this.name === "view") return `${state}&${new URLSearchParams({ from: page.seen.from })}`;
    const rails = this.name === "drilling" && page.scene.rails.length > 1 ? page.scene.rails.map((r) => r.name) : [];
    const rail = rails.includes($("sheet-rail").value) ? $("sheet-rail").value : rails[0];
    if (String([...$("sheet-rail").options].map((o) => o.value)) !== String(rails)) $("sheet-rail").replaceChildren(...rails.map((r) => make("option", { value: r, textContent: r })));
    $("sheet-rail").parentElement.hidden = !rails.length;
    if (rail) $("sheet-rail").value = rail;
    return rail ? `${state}&${new URLSearchParams({ rail })}` : state;
  }

  // refresh draws the open sheet anew where the state has changed.
  refresh() {
    if (!this.name) return;
    const query = this.query();
    if (this.asked === query) return;
    this.asked = query;
    const url = this.url = `sheet/${this.name}?${query}`;
    if (this.name === "view") { this.page.seen.follow(); return; }
    $("sheet-says").textContent = "Drawing \u2026";
    $("sheet-picture").alt = `${names[this.name]} of the scene as it is on the screen`;
    $("sheet-picture").className = this.name === "compare" ? "light" : ""; // whose colours stand for amounts of light
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
    this.saver.hidden = Boolean(this.name && says);
  }
}
