// The report of a state takes some seconds to write: this page tells how far it is, and then becomes the report.
import { Job } from "./jobs.js";

const $ = (id) => document.getElementById(id);
const here = new URLSearchParams(location.search), state = JSON.parse(here.get("state"));
const job = new Job($("job"), { name: "report", words: "Writing the report \u2026", request: () => JSON.stringify({ file: here.get("file"), state }),
  take: () => location.replace(`report?${here}`), ended: () => { $("again").hidden = false; $("again").focus(); } });
$("file").textContent = here.get("file");
$("again").addEventListener("click", () => { $("again").hidden = true; job.start(); });
job.start();
