// The scene file of the page: saved, kept while it is not, restored, and left for another. Text and jobs have files of their own.
import { post, shownScene } from "./ask.js";
import { make } from "./controls.js";
import { addressOf, draft } from "./state.js";

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
    $("desk").append(first, save);
    save.addEventListener("click", () => this.save(this.file, false));
    $("save").addEventListener("submit", (event) => { event.preventDefault(); this.save($("name").value, $("overwrite").checked); });
    addEventListener("keydown", (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey || event.shiftKey || event.key.toLowerCase() !== "s") return;
      event.preventDefault();
      this.save(this.file, false);
    });
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
    if (now === (this.kept || "") || page.gone) return;
    this.kept = now;
    if (now) await post("keep", { file: this.file, state: page.now }).catch(() => null);
    else await this.forget();
  }
  forget() { return post("keep", { file: this.file, state: null }).catch(() => null); }

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
    $("verdict").textContent = scene.missing ? `${scene.file} cannot be opened: ${scene.missing}.` : `${scene.file} has faults.`;
    $("desk").append(make("a", { href: "start", id: "first", textContent: "New or open", className: "button" }));
    return null;
  }
}
