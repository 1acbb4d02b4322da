// What is on the screen as files: a button that opens the formats of a picture or a table.
import { make } from "./controls.js";

const words = { png: "PNG", svg: "SVG", pdf: "PDF", csv: "CSV table", txt: "text", a4: "PDF for A4", letter: "PDF for Letter" };

// keep hands a blob to the browser as a file.
function keep(blob, name) {
  const link = make("a", { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

// saver makes the button. formats() lists what there is, file(format) gives the address of one, or { blob, name }.
export function saver(what, formats, file) {
  const list = make("div", { className: "formats" }), said = make("p", { className: "said", role: "status", hidden: true });
  const head = make("summary", { textContent: "As a file", title: `${what} as a file` });
  const node = make("details", { className: "saver", name: "saver" }, head, list, said);
  for (const one of [node, head]) one.ariaLabel = `Save ${what} as a file`;
  const say = (text) => { said.textContent = text; said.hidden = !text; };
  const take = async (format) => {
    say("Drawing \u2026");
    const got = await file(format);
    if (got.blob) { keep(got.blob, got.name); return say(`${got.name} is saved.`); }
    const response = await fetch(got).catch(() => null);
    if (!response?.ok) return say(response ? await response.text() : "Not possible: the program does not answer.");
    const name = response.headers.get("Content-Disposition").match(/filename="?([^";]+)/)[1];
    keep(await response.blob(), name);
    return say(`${name} is saved.`);
  };
  node.addEventListener("toggle", () => {
    say("");
    list.replaceChildren(...(node.open ? formats() : []).map((format) => {
      const button = make("button", { type: "button", textContent: words[format] });
      button.dataset.format = format;
      button.addEventListener("click", () => take(format));
      return button;
    }));
  });
  node.addEventListener("keydown", (event) => { if (event.key === "Escape" && node.open) { event.stopPropagation(); node.open = false; head.focus(); } });
  return node;
}
