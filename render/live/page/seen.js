// The lit tank as an eye sees it: a rough picture soon after a change, the full one at rest. One is asked for at a time.
import { body, seen } from "./ask.js";
import { make } from "./controls.js";

const $ = (id) => document.getElementById(id);

export class Seen {
  constructor(page) {
    Object.assign(this, { page, got: {}, running: null, white: 0 });
    $("eye").replaceChildren(...page.scene.eyes.map((eye) => make("option", { value: eye.name, textContent: eye.says })));
    $("eye").addEventListener("change", () => { this.white = 0; this.follow(); page.sheets.refresh(); });
    $("hold").addEventListener("change", () => this.follow());
  }
  get from() { return $("eye").value; }
  get open() { return !$("seen").hidden; }

  // drop ends a full picture of a state that has gone.
  drop() { if (this.running && !this.running.rough) this.running.abort.abort(); }

  // follow draws the state on the screen, where the picture is open.
  follow() {
    if (this.open && !this.running) this.pump();
  }
  async pump() {
    for (let next = this.next(); next; next = this.next()) {
      this.running = { ...next, abort: new AbortController() };
      $("seen").dataset.state = "busy";
      if (!this.got.key) $("seen-says").textContent = "Drawing \u2026";
      try {
        await this.show(next, await seen(next.question, this.running.abort.signal));
      } catch (error) {
        if (error.name !== "AbortError") { this.got = {}; break; } // the page says that nobody answers
      }
    }
    this.running = null;
    if (this.open) $("seen").dataset.state = this.got.full ? "idle" : "rough";
  }

  // next is what is still to be asked: roughly what is not shown yet, and in full what rests.
  next() {
    const { page, from } = this, white_cd = $("hold").checked ? this.white : 0;
    const key = JSON.stringify([page.state(), from, $("hold").checked]);
    const rough = this.got.key !== key;
    if (!this.open || (!rough && (this.got.full || document.body.dataset.state === "busy" || page.moving))) return null;
    return { key, rough, question: body({ ...page.state(), from, rough, white_cd }) };
  }

  async show({ key, rough }, { head, png }) {
    this.got = { key, full: !rough || Boolean(head.refused) };
    $("seen-picture").hidden = Boolean(head.refused);
    $("seen-says").textContent = head.refused ? `Not possible: ${head.refused}` : "";
    $("seen-notes").textContent = head.refused ? "" : head.notes.join(" ");
    if (head.refused) return;
    const image = await createImageBitmap(new Blob([png], { type: "image/png" })), picture = $("seen-picture");
    picture.ariaLabel = `The lit tank, seen from ${$("eye").selectedOptions[0].textContent}. ${head.words}`;
    picture.getContext("2d").drawImage(image, 0, 0, picture.width, picture.height);
    this.white = head.white_cd;
  }
}
