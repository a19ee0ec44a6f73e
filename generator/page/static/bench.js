// At the bench: the setup sheet's steps with ticks and boxes that stay, the dry fit, and the build log.

import { ask, byId, form, fromAddress, latest, make, onForm, pack, Refused, say, setForm, showFaults, svgAddress } from "./core.js";
import { fillIn, freshSheet, kept, keepSheet } from "./paper.js";

// Boxes that hold no length: an angle is degrees in every unit, the fit a word.
const NO_LENGTH = ["end_face_tilt", "heel_angle", "fit"];
let sheet = null;

const place = () => `heelwright:${sheet.job}:${sheet.checksum}`;

async function load() {
  try {
    sheet = await (await ask("sheet")).json();
    keepSheet(sheet);
  } catch (error) {
    if (error instanceof Refused) showFaults(byId("steps-faults"), error.errors);
    return;
  }
  showFaults(byId("steps-faults"), []);
  byId("steps-old").hidden = true;
  byId("steps-clear").hidden = false;
  const page = new DOMParser().parseFromString(sheet.page, "text/html");
  byId("steps").replaceChildren(...page.querySelectorAll("main > section"));
  fill();
}
byId("steps-load").addEventListener("click", load);
onForm(() => { byId("steps-old").hidden = !sheet; dry(); });

// Ticks and boxes are kept as the sheet's own page keeps them, under the job and its checksum.
const all = (what) => [...byId("steps").querySelectorAll(what)];
function fill() {
  const found = kept(sheet);
  fillIn(byId("steps"), found);
  for (const name of ["date", "label", "note"]) if (found.own?.[name]) byId(`log-${name}`).value = found.own[name];
}
function keep() {
  if (!sheet) return;
  const done = Object.fromEntries(all("[data-tick]").filter((tick) => tick.checked).map((tick) => [tick.dataset.tick, true]));
  const own = Object.fromEntries(["date", "label", "note"].map((name) => [name, byId(`log-${name}`).value.trim()]).filter(([, text]) => text));
  localStorage.setItem(place(), JSON.stringify({ done, boxes: boxes(), own }));
}
function boxes() {
  return Object.fromEntries(all("[data-box]").map((box) => [box.dataset.box, box.value.trim()]).filter(([, text]) => text));
}
byId("view-bench").addEventListener("input", keep);
byId("steps").addEventListener("input", (event) => {
  const key = event.target.dataset.box;
  if (key === "gap_shy" || key === "gap_final") fromBox(key, event.target.value);
});

// A box holds a bare number in the sheet's unit.
const withUnit = (text) => (sheet?.unit === "in" && /^[\d.,+-]+$/.test(text) ? `${text} in` : text);

// A gap written into a step's box is the dry fit's reading.
function fromBox(key, value) {
  byId("dry-gap").value = withUnit(value);
  byId("dry-stage").value = key === "gap_shy" ? "shy" : "final";
  dry();
}

byId("steps-clear").addEventListener("click", () => {
  localStorage.removeItem(place());
  fill();
});

byId("steps-print").addEventListener("click", async () => {
  if (!freshSheet()) await load();
  if (freshSheet()) print();
});

const dry = latest(async () => {
  const readings = Object.fromEntries(["gap", "sideways", "stage", "rest"].map((name) => [name, byId(`dry-${name}`).value]));
  if (!readings.gap.trim()) { byId("dry").replaceChildren(); showFaults(byId("dry-fault"), []); return; }
  try {
    const told = await (await ask("adjust", { readings })).json();
    showFaults(byId("dry-fault"), []);
    byId("dry").classList.remove("stale");
    const picture = make("img", { alt: told.advice[0], src: svgAddress(told.picture) });
    byId("dry").replaceChildren(...words(told.advice), picture);
    byId("dry").dataset.adjust = JSON.stringify(told.adjust);
  } catch (error) {
    byId("dry").classList.add("stale");
    if (error instanceof Refused) showFaults(byId("dry-fault"), error.errors);
  }
});
for (const name of ["gap", "sideways", "stage", "rest"]) byId(`dry-${name}`).addEventListener("input", dry);

// The command's lines: a head, then steps that are indented, their further lines more so.
function words(lines) {
  const steps = [];
  for (const line of lines.slice(1)) {
    if (line.startsWith("    ") && steps.length) steps[steps.length - 1] += ` ${line.trim()}`;
    else steps.push(line.trim());
  }
  return [make("p", {}, make("b", {}, lines[0])), make("ul", {}, ...steps.map((step) => make("li", {}, step)))];
}

const today = new Date();
byId("log-date").value = [today.getFullYear(), today.getMonth() + 1, today.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
byId("log").addEventListener("click", async () => {
  const entry = Object.fromEntries(["date", "label", "note"].map((name) => [name, byId(`log-${name}`).value]));
  const written = boxes();
  for (const [key, text] of Object.entries(written)) entry[key] = NO_LENGTH.includes(key) ? text : withUnit(text);
  if (byId("dry-gap").value.trim()) entry[byId("dry-stage").value === "shy" ? "gap_shy" : "gap_final"] ??= byId("dry-gap").value;
  if (byId("dry-rest").value.trim()) entry.rest = byId("dry-rest").value;
  byId("logged").textContent = "";
  try {
    byId("logged").textContent = say("log_done", await (await ask("log", { entry })).json());
    showFaults(byId("log-fault"), []);
  } catch (error) {
    if (error instanceof Refused) showFaults(byId("log-fault"), error.errors);
  }
});

byId("phone")?.addEventListener("toggle", async () => {
  if (!byId("phone").open || !byId("qr")) return;
  const told = await (await ask("phone", { packed: await pack(form()) })).json();
  byId("qr").innerHTML = told.picture;
  byId("qr-address").textContent = told.address;
});

if (document.body.classList.contains("bench-only")) {
  fromAddress().then((found) => { if (found) setForm(found); byId("job-title").textContent = form().fields["job.name"] ?? ""; load(); });
}
