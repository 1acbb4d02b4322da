// The page: joins state, controls, pictures and answers.
import { Asker, listen, save } from "./ask.js";
import { make, railControls, waterControls } from "./controls.js";
import { Pictures } from "./draw.js";
import { colourTable, margin, number, valueAt } from "./picture.js";
import { History, clamp, copy, round } from "./state.js";

const $ = (id) => document.getElementById(id);
const say = (id, text) => { if ($(id).textContent !== text) $(id).textContent = text; };

class Page {
  constructor(scene) {
    this.scene = scene;
    this.now = copy(scene.state);
    this.history = new History(this.now);
    this.pictures = new Pictures(scene, colourTable(scene.colours));
    this.answers = 0;
    this.asker = new Asker({
      answered: (a) => this.answered(a),
      failed: () => this.notice("The program does not answer; it may have ended.", false),
      idle: () => { document.body.dataset.state = "idle"; this.speakSoon(); },
    });
  }
  state() { return this.now; }

  start() {
    const { scene } = this;
    const page = { scene, state: () => this.now, done: (settled, busy) => this.changed(settled, busy) };
    say("title", scene.title);
    say("file", scene.file);
    document.title = `${scene.title} \u2013 fathomlux live`;
    $("report").hidden = !scene.has_report;
    $("name").value = scene.save_as;
    $("quantity").value = scene.goal.photons ? "ppfd" : "lux";
    $("dli-row").hidden = true;
    const water = waterControls(page);
    $("water").append(...water.rows);
    this.controls = [water, ...scene.rails.map((_, r) => railControls(page, r))];
    $("rails").append(...this.controls.slice(1).map((c) => c.row));
    this.listen();
    this.changed(true);
    listen((version) => this.versioned(version), () => this.notice("The program has ended; start it again to go on.", false));
  }

  listen() {
    $("undo").addEventListener("click", () => this.restore(this.history.undo()));
    $("redo").addEventListener("click", () => this.restore(this.history.redo()));
    $("reset").addEventListener("click", () => { this.restore(this.history.first); this.changed(true); });
    $("reload").addEventListener("click", () => location.reload());
    $("controls").addEventListener("submit", (event) => event.preventDefault());
    $("save").addEventListener("submit", (event) => { event.preventDefault(); this.save(); });
    for (const id of ["quantity", "hold"]) $(id).addEventListener("change", () => this.redraw());
    addEventListener("resize", () => this.redraw());
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.redraw());
    addEventListener("keydown", (event) => this.key(event));
    $("plan").addEventListener("pointermove", (event) => this.point(event));
    $("plan").addEventListener("pointerleave", () => { this.at = null; this.sayHere(); });
  }

  // key takes Ctrl+Z and Ctrl+Y, but leaves them to fields that are written in.
  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches("input[type=text], input[type=number]")) return;
    const word = event.key.toLowerCase();
    if (word === "z" || word === "y") {
      event.preventDefault();
      this.restore(word === "y" || event.shiftKey ? this.history.redo() : this.history.undo());
    }
  }

  restore(state) {
    this.now = copy(state);
    this.show();
    this.ask(true);
  }

  // changed is called after every change of the state; busy is the field that is being written in.
  changed(settled, busy) {
    if (settled) this.history.settle(this.now);
    this.show(busy);
    this.ask(settled);
  }

  ask(settled) {
    document.body.dataset.state = "busy";
    this.asker.ask(this.now, settled);
  }

  show(busy) {
    for (const c of this.controls) c.show(busy);
    $("undo").disabled = !this.history.canUndo;
    $("redo").disabled = !this.history.canRedo;
    $("reset").disabled = JSON.stringify(this.now) === JSON.stringify(this.history.first);
    this.placeHandles();
  }

  answered(answer) {
    this.answers++;
    $("misfit").hidden = !(answer.refused || answer.head.misfit);
    say("misfit", answer.refused ? `This cannot be: ${answer.refused}` : answer.head.misfit && `Cannot stay so: ${answer.head.misfit}`);
    if (!answer.refused) {
      this.answer = answer;
      this.sayNumbers(answer.head);
      this.redraw();
    }
    document.body.dataset.answers = this.answers;
  }

  redraw() {
    if (this.drawing || !this.answer) return;
    this.drawing = requestAnimationFrame(() => {
      this.drawing = 0;
      this.pictures.draw({ state: this.now, answer: this.answer, quantity: $("quantity").value, hold: $("hold").checked });
      this.placeHandles();
      this.sayHere();
    });
  }

  sayNumbers(head) {
    const photons = this.scene.goal.photons;
    const main = photons ? head.ppfd : head.lux, unit = photons ? "\u00b5mol/m\u00b2/s" : "lx";
    say("verdict", head.verdict.replaceAll(/(\d) (?=\d{3}\b)/g, "$1\u202f").replaceAll("umol/m2/s", "\u00b5mol/m\u00b2/s"));
    say("mean", `${number(main.mean)} ${unit}`);
    say("even", main.min_over_mean.toFixed(2));
    say("min", `${number(main.min)} ${unit}`);
    say("max", `${number(main.max)} ${unit}`);
    say("ppfd", photons ? `${number(head.lux.mean)} lx` : `${number(head.ppfd.mean)} \u00b5mol/m\u00b2/s`);
    $("ppfd").previousElementSibling.textContent = photons ? "mean illuminance" : "mean PPFD";
    $("dli-row").hidden = !head.dli;
    say("dli", `${head.dli.toFixed(2)} mol/m\u00b2/day`);
    say("watts", `${head.power_w.toFixed(1)} W`);
    say("lumens", `${number(head.lumens_lm)} lm`);
    say("goal", head.goal.asked ? (head.goal.met ? "met" : "not met") : "none set");
    $("goal").className = head.goal.asked ? (head.goal.met ? "met" : "unmet") : "";
    say("heat", `${head.heat[0].toUpperCase()}${head.heat.slice(1)}.`);
    const depth = `${Math.round(head.plane.depth_mm)} mm under the surface`;
    say("plan-title", this.scene.named_plane ? `Plan: ${this.scene.plane}, ${depth}` : `Plan: ${depth}`);
    say("cut-title", `Slice along the tank at y = ${Math.round(head.section.y_mm)} mm, from the front`);
  }

  // speakSoon tells a screen reader the outcome once nothing has moved for a while.
  speakSoon() {
    clearTimeout(this.speaking);
    this.speaking = setTimeout(() => say("spoken", $("misfit").hidden ? `mean ${$("mean").textContent}, min/mean ${$("even").textContent}, ${$("watts").textContent}, goal ${$("goal").textContent}` : $("misfit").textContent), 500);
  }

  point(event) {
    const { plan } = this.pictures;
    if (!this.answer) return;
    const box = plan.root.getBoundingClientRect();
    const sx = (event.clientX - box.left - margin.left) / (plan.wide * plan.perMM), sy = (plan.bottom - (event.clientY - box.top)) / (plan.high * plan.perMM);
    this.at = sx >= 0 && sx <= 1 && sy >= 0 && sy <= 1 ? [sx, sy] : null;
    this.sayHere();
  }
  sayHere() {
    if (!this.at || !this.answer) return say("here", "");
    const [sx, sy] = this.at;
    const value = (q) => number(valueAt(this.pictures.field(this.answer, q), sx, sy));
    return say("here", `x ${Math.round(sx * this.scene.length_mm)}, y ${Math.round(sy * this.scene.width_mm)} mm: ${value("lux")} lx, ${value("ppfd")} \u00b5mol/m\u00b2/s`);
  }

  // placeHandles puts a handle on every module of the plan, and makes them anew where their number changes.
  placeHandles() {
    const { plan } = this.pictures;
    if (!plan.perMM) return;
    const root = plan.root.querySelector(".handles");
    const wanted = this.now.rails.flatMap((rail, r) => rail.modules.map((_, i) => `${r},${i}`)).join(" ");
    if (root.dataset.made !== wanted) {
      root.dataset.made = wanted;
      root.replaceChildren(...this.now.rails.flatMap((rail, r) => rail.modules.map((_, i) => this.handle(r, i))));
    }
    for (const node of root.children) node.show();
  }

  handle(r, i) {
    const own = this.scene.rails[r];
    const node = make("div", { className: "handle", tabIndex: 0, textContent: String(i + 1) });
    const at = () => this.now.rails[r].modules[i];
    const board = () => own.modules[at().like];
    const low = () => Math.min(own.left_mm + board().length_mm / 2, at().x_mm), high = () => Math.max(own.left_mm + own.length_mm - board().length_mm / 2, at().x_mm);
    const move = (x, settled) => { at().x_mm = round(clamp(x, low(), high()), 1); this.changed(settled); };
    node.setAttribute("role", "slider");
    node.setAttribute("aria-label", `module ${i + 1} on rail ${own.name}`);
    node.setAttribute("aria-orientation", "horizontal");
    node.show = () => {
      const { plan } = this.pictures, state = this.now.rails[r];
      Object.assign(node.style, { left: `${plan.x(at().x_mm)}px`, top: `${plan.y(state.y_mm)}px`, width: `${board().length_mm * plan.perMM}px`, height: `${board().width_mm * plan.perMM * Math.cos(state.tilt_deg * Math.PI / 180)}px` });
      node.setAttribute("aria-valuemin", low());
      node.setAttribute("aria-valuemax", high());
      node.setAttribute("aria-valuenow", at().x_mm);
      node.setAttribute("aria-valuetext", `x ${round(at().x_mm, 0.1)} mm, ${board().part}`);
    };
    node.addEventListener("keydown", (event) => {
      const step = event.shiftKey ? 10 : 1;
      const to = { ArrowLeft: at().x_mm - step, ArrowDown: at().x_mm - step, ArrowRight: at().x_mm + step, ArrowUp: at().x_mm + step, Home: low(), End: high() }[event.key];
      if (to === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      move(to, false);
    });
    node.addEventListener("keyup", () => { this.history.settle(this.now); this.show(); });
    node.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      node.setPointerCapture(event.pointerId);
      node.classList.add("held");
      node.grip = at().x_mm - event.clientX / this.pictures.plan.perMM;
    });
    node.addEventListener("pointermove", (event) => {
      if (node.hasPointerCapture(event.pointerId)) move(node.grip + event.clientX / this.pictures.plan.perMM, false);
    });
    node.addEventListener("lostpointercapture", () => { node.classList.remove("held"); this.changed(true); });
    return node;
  }

  async save() {
    say("saved", "Saving \u2026");
    try {
      const answer = await save({ state: this.now, name: $("name").value, overwrite: $("overwrite").checked });
      say("saved", answer.refused ? `Not saved: ${answer.refused}` : `Saved as ${answer.saved}.`);
      if (answer.saved) $("overwrite").checked = false;
    } catch {
      say("saved", "Not saved: the program does not answer.");
    }
  }

  versioned(version) {
    if (version > this.scene.state.version) this.notice("The scene file has changed since this page was opened.", true);
  }
  notice(text, reload) {
    $("notice").hidden = false;
    say("notice-text", text);
    $("reload").hidden = !reload;
  }
}

const response = await fetch("scene");
if (response.ok) new Page(await response.json()).start();
else say("verdict", await response.text());
