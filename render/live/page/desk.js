// The scene file of the page: saved, kept while it is not, restored, and left for another. Text and jobs have files of their own.
import { body, post, shownScene } from "./ask.js";
import { make } from "./controls.js";
import { Job } from "./jobs.js";
import { addressOf, draft } from "./state.js";
import { Text } from "./text.js";

const $ = (id) => document.getElementById(id);
const keepMS = 1000; // after the last change the state is kept beside the file

export class Desk {
  // page has scene, now, saved, unsaved, show(), keep(), ask() and take(version).
  constructor(page) {
    this.page = page;
    this.file = page.scene.file;
    this.disk = page.scene.disk; // the version that the file held when this page looked last
  }

  start() {
    const save = make("button", { type: "button", id: "save-own", textContent: "Save", title: "writes this scene file (Ctrl+S)" });
    save.setAttribute("aria-keyshortcuts", "Control+S");
    const first = make("a", { href: "start", id: "first", textContent: "New or open", className: "button", title: "a new tank, or another scene of this folder" });
    $("desk").append(first, save, this.arranging(), this.proposing(), this.texting());
    save.addEventListener("click", () => this.save(this.file, false));
    $("save").addEventListener("submit", (event) => { event.preventDefault(); this.save($("name").value, $("overwrite").checked); });
    addEventListener("keydown", (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey || event.shiftKey || event.key.toLowerCase() !== "s") return;
      event.preventDefault();
      this.save(this.file, false);
    });
    for (const kind of ["pointerdown", "click"]) {
      $("report").addEventListener(kind, () => {
        $("report").href = `wait?${new URLSearchParams({ file: this.file, state: body(this.page.state()) })}`;
      });
    }
    $("restore").addEventListener("click", () => { $("offer").hidden = true; this.page.take(this.page.scene.draft.version); });
    $("discard").addEventListener("click", () => { $("offer").hidden = true; this.forget(); });
    this.moved(this.page.scene.save_as);
    this.offer();
  }

  // address is that of the outline of a version.
  address(version) { return `scene?${new URLSearchParams({ file: this.file, version })}`; }

  // moved tells of the file that the page is of from now on.
  moved(free) {
    $("name").value = free;
    $("report").href = `report?${new URLSearchParams({ file: this.file })}`;
  }

  // offer tells of unsaved work that an earlier page has left; this tab's own is shown already.
  offer() {
    const left = this.page.scene.draft;
    if (!left || draft.get() || left.version === this.page.scene.state.version) return;
    $("offer").querySelector("span").textContent = `There are unsaved changes to ${this.file} of ${new Date(left.at).toLocaleString()}.`;
    $("offer").hidden = false;
  }

  async save(name, overwrite) {
    const { page } = this, sent = JSON.stringify(page.now);
    const say = (text) => { $("saved").textContent = text; };
    say("Saving \u2026");
    const answer = await post("save", { state: page.now, name, overwrite, own: this.file, disk: this.disk || 0 }).catch(() => null);
    if (!answer || answer.refused) {
      if (answer?.conflict) page.notice(answer.refused[0].toUpperCase() + answer.refused.slice(1) + ".", true);
      return say(answer ? `Not saved: ${answer.refused}` : "Not saved: the program does not answer.");
    }
    say(`Saved as ${answer.saved}.`);
    $("overwrite").checked = false;
    page.saved = sent;
    draft.set(null);
    Object.assign(this, { file: answer.saved, disk: answer.disk, kept: "" });
    history.replaceState(null, "", addressOf(this.file));
    this.moved(answer.save_as);
    page.notice("", true);
    page.keep();
    page.show();
  }

  // touched is called whenever the state may be another.
  touched() {
    clearTimeout(this.keeping);
    this.keeping = setTimeout(() => this.keep(), keepMS);
  }
  async keep() {
    const { page } = this, now = page.unsaved ? JSON.stringify(page.now) : "";
    if (this.text && !document.getElementById("panel-text").hidden) this.text.refresh();
    if (now === (this.kept || "") || page.gone) return;
    this.kept = now;
    document.body.dataset.kept = false;
    if (now) await post("keep", { file: this.file, state: page.now }).catch(() => null);
    else await this.forget();
    document.body.dataset.kept = now === this.kept;
  }
  forget() { return post("keep", { file: this.file, state: null }).catch(() => null); }

  // arranging, proposing and texting are the buttons of panels, each of which is made when it is opened first.
  arranging() {
    return panelButton("arrange", "Arrange", "Better places for the modules", (root) => {
      const aim = make("select", { id: "aim" }, ...[["dimmest", "a brighter dimmest place"], ["even", "more even light"], ["power", "less power"]].map(([value, textContent]) => make("option", { value, textContent })));
      const say = "The modules are moved along their rails, and the rails across the tank, for the goal of the scene.";
      this.job(root, { name: "arrange", say, fields: [make("label", { htmlFor: "aim", textContent: "what for" }), aim], limits: () => ({ for: aim.value }) });
    });
  }
  proposing() {
    return panelButton("propose", "Propose", "Other lights for this tank", (root) => {
      const field = (id, words, placeholder = "", value = "") => [make("label", { htmlFor: id, textContent: words }), make("input", { type: "text", id, placeholder, value })];
      const keep = make("input", { type: "checkbox", id: "keep-rails" });
      const say = "Lights are sought that meet the goal and can be built from the parts that the program and the scene know.";
      const fields = [...field("most-money", "budget for the parts", "", this.page.budget), ...field("most-watts", "power from the mains, at most (W)"), ...field("only-parts", "only these parts", "names with commas between"), make("label", { htmlFor: "keep-rails", textContent: "my rails stay" }), keep];
      const value = (id) => $(id).value;
      this.job(root, { name: "propose", say, fields, limits: () => ({ budget: value("most-money"), "watts-at-most": value("most-watts"), only: value("only-parts"), keep: keep.checked ? "rail" : "nothing" }) });
    });
  }
  texting() {
    return panelButton("text", "Text", "The scene file as text", (root) => {
      this.text = new Text(root, { file: () => this.file, fresh: () => post("text", { file: this.file, state: this.page.now }), take: (version) => this.page.take(version) });
      this.text.refresh();
    }, () => this.text.refresh());
  }
  job(root, { name, say, fields, limits }) {
    const go = make("button", { type: "submit", textContent: "Search" }), form = make("form", { className: "pairs", autocomplete: "off" }, ...fields, go), found = make("div", { hidden: true });
    const job = new Job(found, { name, words: "Searching \u2026 the page can be used meanwhile.", takes: "Take it", request: () => body({ file: this.file, state: this.page.now, limits: limits() }),
      take: async (p) => { await this.page.take(p.version); job.status.textContent = "Taken; Undo goes back, Save keeps it."; } });
    form.addEventListener("submit", (event) => { event.preventDefault(); job.start(); });
    root.append(make("p", { textContent: say }), form, found);
  }

  // again goes on with a program that was started again: with the same version where it knows that, else with what was kept.
  async again() {
    const { page } = this, { version } = page.scene.state;
    const response = await fetch(this.address(version)).catch(() => null);
    if (!response?.ok) return;
    const scene = shownScene(await response.json());
    if (scene.state?.version === version) page.ask(true);
    else if (page.unsaved && scene.draft) page.take(scene.draft.version);
  }

  // without shows what there is of a file that cannot be shown as a scene.
  static without(scene) {
    document.body.dataset.state = "idle";
    if (scene.unlit) return location.replace(`start?${new URLSearchParams({ lights: scene.file })}`);
    $("title").textContent = scene.file;
    $("verdict").textContent = scene.missing ? `${scene.file} cannot be opened: ${scene.missing}.` : `${scene.file} has faults. Mend them in its text, and apply that.`;
    $("desk").append(make("a", { href: "start", id: "first", textContent: "New or open", className: "button" }));
    document.querySelector("main").hidden = true;
    if (scene.missing) return null;
    const fresh = () => ({ text: scene.text });
    const button = panelButton("text", "Text", "The scene file as text", (root) => new Text(root, { file: () => scene.file, fresh, take: (version) => location.replace(addressOf(scene.file, version)) }).refresh());
    $("desk").append(button);
    button.click();
    return null;
  }
}

// panelButton returns a button that opens a panel at the lower edge of the window and closes it again. fill fills the panel
// when it is opened for the first time, again is called at each later time.
function panelButton(id, words, title, fill, again = () => {}) {
  const button = make("button", { type: "button", id: `open-${id}`, textContent: words, title });
  button.setAttribute("aria-expanded", "false");
  button.setAttribute("aria-controls", `panel-${id}`);
  const close = make("button", { type: "button", textContent: "Close", title: "Escape" }), root = make("div", { className: "panel-body" });
  const panel = make("section", { id: `panel-${id}`, className: "panel", hidden: true }, make("div", { className: "panel-head" }, make("h2", { textContent: title }), close), root);
  panel.setAttribute("aria-label", title);
  const open = (is) => {
    if (is) document.querySelectorAll(".panel").forEach((p) => { if (p !== panel && !p.hidden) p.dispatchEvent(new Event("close")); });
    panel.hidden = !is;
    button.setAttribute("aria-expanded", String(is));
    document.body.classList.toggle("with-panel", is);
    if (!is) return button.focus();
    if (root.childElementCount) again();
    else fill(root);
    return root.querySelector("textarea, input, select, button")?.focus({ preventScroll: true });
  };
  button.addEventListener("click", () => open(panel.hidden));
  close.addEventListener("click", () => open(false));
  panel.addEventListener("close", () => open(false));
  panel.addEventListener("keydown", (event) => { if (event.key === "Escape") { event.stopPropagation(); open(false); } });
  document.body.append(panel);
  return button;
}
