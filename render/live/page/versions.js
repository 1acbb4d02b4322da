// Changes that make another version of the scene: each has an outline of its own, and controls made for it. The states of
// the history name their version, so that undo goes back over them.
import { post, shownScene } from "./ask.js";
import { levelControls, railControls, waterControls } from "./controls.js";
import { copy } from "./state.js";
import { adders, thingFolds } from "./things.js";
import { units } from "./units.js";
import { moduleFold } from "./module.js";

// versioned are the methods of a page that deal with versions and with what is selected.
export const versioned = {
  // edit changes keys of the scene file, given as { path, value }, and returns why it cannot, or nothing.
  async edit(edits) {
    const answer = await post("edit", { state: this.now, edits }).catch(() => ({ refused: "the program does not answer" }));
    if (answer.refused) return `Not possible: ${answer.refused}`;
    const scene = shownScene(answer);
    this.use({ ...this.scene, ...scene }, scene.state);
    this.changed(true);
    return "";
  },

  // take shows a version that was made of this page's state elsewhere, such as by a job; undo goes back over it.
  async take(version) {
    const scene = shownScene(await (await fetch(this.desk.address(version))).json());
    this.use({ ...this.scene, ...scene }, scene.state);
    this.changed(true);
  },

  // commit makes a version of the state as it is, where parts of single modules were changed; what cannot be is undone.
  async commit() {
    const refused = await this.edit([]);
    if (!refused) return;
    this.restore(this.settled());
    this.notice(refused, false);
  },

  // use shows a state of a version: all controls are made anew, and what was in focus is again.
  use(scene, state) {
    this.now = copy(state);
    this.scene = this.pictures.scene = scene;
    this.scenes.set(scene.state.version, scene);
    const focused = document.activeElement?.id, top = document.getElementById("controls").scrollTop;
    this.handles.forget();
    this.build();
    document.getElementById("controls").scrollTop = top;
    if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
    this.flag();
  },

  // fetched brings the outline of a version that this page has not had.
  async fetched(version) {
    const response = await fetch(this.desk.address(version));
    this.scenes.set(version, { ...this.scene, ...shownScene(await response.json()) });
  },

  // build makes the controls of the scene.
  build() {
    units.inches = this.scene.inches;
    const { scene } = this, water = waterControls(this), channels = scene.channels.length > 1 || scene.things.some((t) => t.id === "channel-0"); // the one that is not written down has no slider
    document.querySelectorAll("#water .control").forEach((row) => row.remove());
    document.getElementById("water").append(...water.rows);
    this.module = null;
    this.controls = [water, ...scene.rails.map((_, r) => railControls(this, r)), ...(channels ? [levelControls(this)] : [])];
    document.getElementById("rails").replaceChildren(...this.controls.slice(1).map((c) => c.row));
    document.getElementById("things").dataset.version = scene.state.version;
    document.getElementById("things").replaceChildren(...thingFolds(this), adders(this));
    if (this.chosen) this.choose(...this.chosen);
  },

  // choose selects module i of rail r and shows what is its own.
  choose(r, i) {
    this.controls = this.controls.filter((c) => c !== this.module);
    document.getElementById("thing-module")?.remove();
    this.chosen = this.now.rails[r]?.modules[i] ? [r, i] : null;
    if (!this.chosen) return;
    this.module = moduleFold(this, r, i);
    this.module.show();
    this.controls.push(this.module);
    document.getElementById("rails").before(this.module.row);
    this.handles.place();
  },

  // open opens the fold of a thing and brings it into sight.
  open(id) {
    const node = document.getElementById(`thing-${id}`) || document.getElementById(id);
    if (!node) return;
    if (node.tagName === "DETAILS") node.open = true;
    node.scrollIntoView({ block: "nearest" });
    document.querySelectorAll(".selected").forEach((n) => n.classList.remove("selected"));
    node.classList.add("selected");
    this.selected = id;
    this.redraw();
  },

  // moduleOf is what the scene file would say of a module of a rail, but for its place.
  moduleOf(r, m) {
    const rail = this.now.rails[r], like = this.scene.rails[r].modules[m.like];
    return { part: m.part || like.part, optic: this.scene.optics.find((o) => o.name === (rail.optic || m.optic || like.optic))?.name || like.optic, current: `${Number((rail.current_ma || m.current_ma || like.current_ma).toFixed(2))} mA` };
  },
};
