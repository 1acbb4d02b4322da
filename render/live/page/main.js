// The page: joins state, controls, pictures and answers.
import { Asker, check, listen, shownScene } from "./ask.js";
import { make, put } from "./controls.js";
import { Pictures } from "./draw.js";
import { Desk } from "./desk.js";
import { Handles } from "./handles.js";
import { colourTable, number } from "./picture.js";
import { showFlags } from "./flags.js";
import { Pins, changesOf } from "./pins.js";
import { Seen } from "./seen.js";
import { Sheets } from "./sheets.js";
import { History, addressOf, aside, copy, draft, fileHere } from "./state.js";
import { viewing } from "./view.js";
import { versioned } from "./versions.js";

const $ = (id) => document.getElementById(id);
const say = (id, text) => { if ($(id).textContent !== text) $(id).textContent = text; };

const restMS = 250, slideMS = 400; // until check is asked, at rest and while something moves

class Page {
  // A page goes on with the draft that its tab kept, where that is of this version of the scene.
  constructor(scene, kept) {
    Object.assign(this, { scene, scenes: new Map([[scene.state.version, scene]]), opened: new Set(), chosen: null, controls: [] });
    this.view = { depth_mm: null, across: false, cut_mm: null };
    this.history = new History(scene.state, kept);
    this.now = kept ? kept.now : copy(scene.state);
    this.saved = kept ? kept.saved : "";
    this.pictures = new Pictures(scene, colourTable(scene.colours));
    this.handles = new Handles(this, this.pictures.plan);
    this.answers = 0;
    this.desk = new Desk(this);
    this.asker = new Asker({
      answered: (a) => this.answered(a),
      failed: () => this.lost("The program does not answer; it may have ended."),
      idle: () => this.idle(),
    });
  }
  state() { return this.now; }
  settled() { return this.history.now; }
  done(settled, busy, run) { this.changed(settled, busy, run); }

  start() {
    const { scene } = this;
    say("title", scene.title);
    document.title = `${scene.title} \u2013 fathomlux live`;
    $("report").hidden = !scene.has_report;
    $("quantity").value = scene.goal.photons ? "ppfd" : "lux";
    $("dli-row").hidden = true;
    this.build();
    if (scene.rails.length > 1 || scene.channels.length > 1) document.querySelector(".rest").prepend($("findings")); // there is no room beside more sliders
    this.listenToView();
    Object.assign(this, { pins: new Pins(this), found: [], misfit: [] });
    this.seen = new Seen(this);
    this.sheets = new Sheets(this);
    this.listen();
    this.rememberBudget();
    this.desk.start();
    this.changed(true);
    $("back").hidden = !(aside.get() || []).length;
    listen((versions) => this.versioned(versions[this.desk.file]), () => this.lost("The program has ended; start it again to go on. The figures shown are the last that it computed."));
  }

  listen() {
    $("undo").addEventListener("click", () => this.restore(this.history.undo()));
    $("redo").addEventListener("click", () => this.restore(this.history.redo()));
    $("reset").addEventListener("click", async () => { await this.restore(this.history.first); this.changed(true); });
    $("reload").addEventListener("click", () => this.leaveFor(null, [...(aside.get() || []), ...this.unsavedDraft()]));
    $("back").addEventListener("click", () => { const list = aside.get() || []; this.leaveFor(list.pop(), [...this.unsavedDraft(), ...list]); });
    addEventListener("pagehide", () => this.keep());
    addEventListener("beforeunload", (event) => { if (this.unsaved && !this.left) event.preventDefault(); }); // a closed tab keeps no draft
    $("controls").addEventListener("submit", (event) => event.preventDefault());
    for (const id of ["quantity", "hold"]) $(id).addEventListener("change", () => this.redraw());
    addEventListener("resize", () => this.redraw());
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.redraw());
    addEventListener("keydown", (event) => this.key(event));
  }

  // leaveFor loads the page anew with a draft, or, without one, with what the scene file holds; others are laid aside.
  leaveFor(next, others) {
    this.left = true;
    for (const [shelf, value] of [[draft, next], [aside, others]]) {
      shelf.set(null);
      shelf.set(value, this.desk.file);
    }
    location.replace(addressOf(this.desk.file));
  }
  get unsaved() {
    const now = JSON.stringify(this.now);
    return now !== this.saved && now !== JSON.stringify(this.scenes.get(this.desk.disk)?.state);
  }
  draft() { return { ...this.history.draft, now: this.now, saved: this.saved, version: this.scene.state.version }; }
  unsavedDraft() { return this.unsaved ? [this.draft()] : []; }
  keep() {
    if (this.left) return;
    const all = this.history.canUndo || this.history.canRedo || this.unsaved ? this.draft() : null;
    if (!draft.set(all)) draft.set({ ...all, states: [all.states[0], JSON.stringify(this.now)], at: 1 }); // the store is full
  }

  // cancel puts back what has not been settled on.
  cancel() { if (JSON.stringify(this.now) !== JSON.stringify(this.settled())) this.restore(this.settled()); }

  // key takes Ctrl+Z and Ctrl+Y, but leaves them to fields that are written in; Escape ends a drag and puts back what it moved.
  key(event) {
    if (event.key === "Escape") {
      const held = document.querySelector(".handle.held, .grip.held, input[type=range]:active");
      this.cancel();
      if (held?.type === "range") { held.disabled = true; setTimeout(() => this.show()); } // lets go of its knob
      else if (held) held.letGo();
      return;
    }
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches("input[type=text], input[type=number]")) return;
    const word = event.key.toLowerCase();
    if (word === "z" || word === "y") {
      event.preventDefault();
      this.restore(word === "y" || event.shiftKey ? this.history.redo() : this.history.undo());
    }
  }

  // restore shows a state: at once, but where its version is not at hand.
  restore(state) {
    const { scene, scenes } = this;
    if (state.version !== scene.state.version && !scenes.has(state.version)) return this.fetched(state.version).then(() => this.restore(state));
    if (state.version !== scene.state.version) this.use(scenes.get(state.version), state);
    this.now = copy(state);
    this.keep();
    this.show();
    this.ask(true);
    return Promise.resolve();
  }

  // changed is called after every change of the state; busy is the field that is being written in, run the thing that a key moves.
  changed(settled, busy, run) {
    this.moving = !settled;
    if (settled) this.history.settle(this.now, run);
    if (settled) this.keep();
    this.show(busy);
    this.ask(settled);
  }

  ask(settled) {
    document.body.dataset.state = "busy";
    this.markSoon();
    this.seen.drop();
    this.asker.ask({ ...this.now, view: this.view }, settled);
  }

  show(busy) {
    for (const c of this.controls) c.show(busy);
    $("undo").disabled = !this.history.canUndo;
    $("redo").disabled = !this.history.canRedo;
    $("reset").disabled = JSON.stringify(this.now) === JSON.stringify(this.history.first);
    say("file", this.desk.file + (this.unsaved ? " \u2013 changed here, not saved" : ""));
    this.desk.touched();
    this.handles.place();
  }

  answered(answer) {
    this.answers++;
    document.body.classList.toggle("stale", Boolean(answer.refused));
    put($("misfit"), { hidden: !(answer.refused || answer.head.misfit) });
    say("misfit", answer.refused ? `Not possible: ${answer.refused}` : answer.head.misfit && `To be changed: ${answer.head.misfit}`);
    if (!answer.refused) {
      this.answer = answer;
      this.misfit = answer.head.misfit ? [{ text: answer.head.misfit, code: answer.head.misfit_code, grave: true }] : [];
      this.pins.show();
      this.flag();
      if (this.moving) this.checkSoon(slideMS);
      this.sayNumbers(answer.head);
      this.draw();
    }
    this.seen.follow();
    document.body.dataset.answers = this.answers;
  }

  // idle is called when nothing is left to ask: what check would say of the scene is asked once nothing has moved for a while.
  idle() {
    document.body.dataset.state = "idle";
    this.mark();
    this.seen.follow();
    this.speakSoon();
    this.checkSoon(restMS);
  }
  // checkSoon asks once, however often it is called meanwhile; what moves is asked about too.
  checkSoon(ms) {
    if (this.moving && this.checking) return;
    clearTimeout(this.checking);
    this.checking = setTimeout(() => { this.checking = 0; this.check(); }, ms);
  }
  async check() {
    const asked = JSON.stringify(this.now);
    if (!this.moving) this.sheets.refresh();
    const found = await check(this.now).catch(() => null);
    if (!found || found.refused || (!this.moving && asked !== JSON.stringify(this.now))) return;
    const lines = (kind, list) => (list || []).map((text) => make("li", { className: kind }, make("strong", { textContent: `${kind}: ` }), text));
    $("findings").replaceChildren(...lines("warning", (found.warnings || []).map((w) => `${w.path}: ${w.text}`)), ...lines("caution", found.cautions));
    this.found = [...(found.warnings || []), ...(found.beside || [])];
    this.prices = found.prices || [];
    say("cost", `${found.unpriced && this.prices.length ? "from " : ""}${this.prices.map((p) => p.text).join(" and ") || "no price known"}`);
    this.flag();
    document.body.dataset.checked = asked;
  }

  // flag puts what was found beside the controls that cause it.
  flag() {
    const found = [...this.misfit, ...this.found], most = Number(this.budget.replace(",", ".")), [price] = this.prices || [];
    if (most > 0 && price?.amount > most) found.push({ code: "over-budget", grave: true, text: `the parts cost ${price.text}, above the budget of ${this.budget}` });
    showFlags(this, found);
    this.sheets.mark(found);
  }
  // budget is what the parts may cost; the browser remembers it for each file.
  get budget() { return $("budget").value.trim(); }
  rememberBudget() {
    const shelf = `fathomlux budget ${location.pathname}${this.desk.file}`;
    $("budget").value = localStorage.getItem(shelf) || new URLSearchParams(location.search).get("budget") || "";
    $("budget").addEventListener("input", () => { localStorage.setItem(shelf, this.budget); this.flag(); });
  }

  // redraw draws with the next frame, however often it is called before; an answer is drawn at once.
  redraw() {
    if (!this.drawing && this.answer) this.drawing = requestAnimationFrame(() => this.draw());
  }
  draw() {
    cancelAnimationFrame(this.drawing);
    this.drawing = 0;
    this.pictures.draw({ state: this.now, answer: this.answer, quantity: $("quantity").value, hold: $("hold").checked, page: this });
    this.handles.place();
    this.sayHere();
  }

  sayNumbers(head) {
    const photons = this.scene.goal.photons;
    const main = photons ? head.ppfd : head.lux, unit = photons ? "\u00b5mol/m\u00b2/s" : "lx";
    say("verdict", head.verdict);
    say("mean", `${number(main.mean)} ${unit}`);
    say("even", main.min_over_mean.toFixed(2));
    say("min", `${number(main.min)} ${unit}`);
    say("max", `${number(main.max)} ${unit}`);
    say("ppfd", photons ? `${number(head.lux.mean)} lx` : `${number(head.ppfd.mean)} \u00b5mol/m\u00b2/s`);
    put($("ppfd").previousElementSibling, { textContent: photons ? "mean illuminance" : "mean PPFD" });
    put($("dli-row"), { hidden: !head.dli });
    say("dli", `${head.dli.toFixed(2)} mol/m\u00b2/day`);
    say("watts", `${head.power_w.toFixed(1)} W`);
    say("lumens", `${number(head.lumens_lm)} lm`);
    say("goal", head.goal.asked ? (head.goal.met ? "met" : "not met") : "none set");
    put($("goal"), { className: head.goal.asked ? (head.goal.met ? "met" : "unmet") : "" });
    this.sayParts(head.goal.parts, unit);
    say("stripes", head.stripes);
    say("heat", `${head.heat[0].toUpperCase()}${head.heat.slice(1)}.`);
    this.sayTitles(head);
  }

  // sayParts lists the parts of a goal that has several.
  sayParts(parts, unit) {
    const light = (p) => `${number(p.mean)} (${number(p.min)} to ${number(p.max)}) ${unit}, U0 ${p.min_over_mean.toFixed(2)}: `;
    const met = (p) => make("span", { textContent: p.met ? "met" : "not met", className: p.met ? "met" : "unmet" });
    put($("parts"), { hidden: !parts.length });
    const rows = parts.map((p) => make("div", {}, make("dt", { textContent: p.name }), make("dd", {}, light(p), met(p))));
    if ($("parts").textContent !== rows.map((row) => row.textContent).join("")) $("parts").replaceChildren(...rows);
  }

  // speakSoon tells a screen reader the outcome once nothing has moved for a while: the verdict, where it is another one, and
  // by how much the light has changed since it was told last.
  speakSoon() {
    clearTimeout(this.speaking);
    this.speaking = setTimeout(() => {
      if (!this.answer) return;
      const { head } = this.answer, photons = this.scene.goal.photons, { told } = this;
      const outcome = $("misfit").hidden ? `goal ${$("goal").textContent}` : $("misfit").textContent;
      const changes = told ? changesOf(head, told.head, photons) : "";
      if (told?.outcome === outcome && !changes) return;
      say("spoken", told ? [told.outcome === outcome ? "" : outcome, changes].filter(Boolean).join("; ") : $("verdict").textContent);
      this.told = { head, outcome };
    }, 500);
  }

  versioned(version) {
    if (this.gone) this.desk.again(); // the program is there again
    this.gone = false;
    this.notice(version && version !== this.desk.disk ? "The scene file, or a file that it names, has changed since this page was opened. Changes made here are kept when it is loaded." : "", true);
  }
  lost(text) {
    this.gone = true;
    document.body.classList.add("stale");
    this.notice(text, false);
  }
  notice(text, reload) {
    $("notice").hidden = !text;
    say("notice-text", text);
    $("reload").hidden = !reload;
  }
}

Object.assign(Page.prototype, versioned, viewing);

const kept = draft.get();
const version = kept ? kept.version : new URLSearchParams(location.search).get("version");
const response = await fetch(`scene?${new URLSearchParams({ file: fileHere(), version: version || 0 })}`);
if (response.ok) {
  const scene = shownScene(await response.json());
  if (!scene.state) Desk.without(scene);
  else new Page(scene, kept && kept.version === scene.state.version ? kept : null).start();
} else say("verdict", await response.text());
