// The scene file as text: edited, with what check says of it marked at its line as one types, and taken over by the page.
import { post } from "./ask.js";
import { make } from "./controls.js";

const pauseMS = 300; // after the last key the text is looked at

export class Text {
  // file() names the file, fresh() gives the text of what the page shows, take(version) shows a version.
  constructor(root, { file, fresh, take }) {
    Object.assign(this, { file, fresh, take, asked: 0 });
    this.gutter = make("div", { className: "gutter", ariaHidden: "true" });
    this.area = make("textarea", { id: "text", wrap: "off", spellcheck: false, autocapitalize: "off" });
    this.area.setAttribute("aria-describedby", "text-says");
    this.says = make("p", { id: "text-says", role: "status", className: "small" });
    this.marks = make("ul", { className: "marks", ariaLabel: "faults and warnings" });
    this.apply = make("button", { type: "submit", textContent: "Apply to the page", title: "Ctrl+Enter" });
    this.undo = make("button", { type: "button", textContent: "Back to what the page shows" });
    const label = make("label", { htmlFor: "text", className: "spoken", textContent: "text of the scene file" });
    root.append(label, make("div", { className: "text" }, this.gutter, this.area), make("div", { className: "text-foot" }, this.says, this.marks, make("p", { className: "actions" }, this.apply, this.undo)));
    this.area.addEventListener("input", () => { this.number(); this.lookSoon(); });
    this.area.addEventListener("scroll", () => { this.gutter.scrollTop = this.area.scrollTop; });
    this.area.addEventListener("keydown", (event) => this.key(event));
    this.apply.addEventListener("click", () => this.put());
    this.undo.addEventListener("click", () => { this.base = null; this.refresh(); });
  }

  get changed() { return this.base !== undefined && this.base !== null && this.area.value !== this.base; }

  // refresh shows the text of the page's state, unless there is work on the text.
  async refresh() {
    if (this.changed) return;
    const answer = await this.fresh();
    if (answer.refused) { this.says.textContent = `There is no text: ${answer.refused}.`; return; }
    if (this.changed) return;
    this.show(answer.text);
  }
  show(text) {
    const { scrollTop, scrollLeft } = this.area;
    this.base = this.area.value = text;
    Object.assign(this.area, { scrollTop, scrollLeft });
    this.number();
    this.look();
  }

  // key takes Tab as two spaces only within a line's indent, so that the keyboard can leave the field; Ctrl+Enter applies.
  key(event) {
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) { event.preventDefault(); this.put(); }
  }

  lookSoon() { clearTimeout(this.timer); this.timer = setTimeout(() => this.look(), pauseMS); }
  async look(apply = false) {
    clearTimeout(this.timer);
    const asked = ++this.asked, text = this.area.value;
    const answer = await post("text", { file: this.file(), text, apply }).catch(() => ({ refused: "the program does not answer", marks: [] }));
    if (asked !== this.asked) return null;
    this.found = answer.marks || [];
    const faults = this.found.filter((m) => m.kind === "fault").length, odd = this.found.length - faults;
    const count = (n, word) => `${n} ${word}${n === 1 ? "" : "s"}`;
    this.says.textContent = answer.refused ? `Not possible: ${answer.refused}.` : answer.sound ? `No faults${odd ? `, ${count(odd, "warning")}` : ""}.${this.changed ? " Not applied yet." : ""}` : `${count(faults, "fault")}.`;
    this.apply.disabled = !answer.sound;
    this.marks.replaceChildren(...this.found.slice(0, 50).map((m) => this.mark(m)));
    this.number();
    return answer;
  }
  async put() {
    const answer = await this.look(true);
    if (!answer?.version) return;
    this.base = this.area.value;
    await this.take(answer.version);
    this.says.textContent = "Applied; it is not saved yet.";
  }

  mark(m) {
    const go = make("button", { type: "button", className: `mark ${m.kind}`, textContent: `${m.kind}${m.line ? `, line ${m.line}` : ""}: ${m.path && !m.line ? `${m.path}: ` : ""}${m.text}` });
    go.addEventListener("click", () => this.go(m.line || 1, m.column || 1));
    return make("li", {}, go);
  }
  go(line, column) {
    const lines = this.area.value.split("\n"), before = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
    const at = before + Math.min(column - 1, (lines[line - 1] || "").length);
    this.area.focus();
    this.area.setSelectionRange(at, before + (lines[line - 1] || "").length);
    this.area.scrollTop = Math.max(0, (line - 4) * this.area.scrollHeight / lines.length);
  }

  // number writes the numbers of the lines, with a sign at those that something is said of.
  number() {
    const signs = new Map();
    for (const m of this.found || []) if (m.line && signs.get(m.line) !== "fault") signs.set(m.line, m.kind);
    const count = this.area.value.split("\n").length;
    this.gutter.replaceChildren(...Array.from({ length: count }, (_, i) => {
      const kind = signs.get(i + 1);
      return make("div", { className: kind || "", textContent: `${kind ? { fault: "\u2716 ", warning: "\u25B2 " }[kind] : ""}${i + 1}` });
    }));
    this.gutter.scrollTop = this.area.scrollTop;
  }
}
