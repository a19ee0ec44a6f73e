// At the bench: the setup sheet's steps with ticks and boxes that stay, the dry fit, and the build log.

import { ask, byId, form, fromAddress, latest, make, onForm, pack, Refused, say, setForm, showFaults } from "./core.js";

const LOGGED = ["mortise_width", "mortise_length", "mortise_depth", "tenon_width", "tenon_length", "gap_shy", "gap_final", "sideways", "fit"];
let sheet = null;
let notes = {};

const place = () => `heelwright:${sheet.job}:${sheet.checksum}`;
function keep() { localStorage.setItem(place(), JSON.stringify(notes)); }

async function load() {
  try {
    sheet = await (await ask("sheet")).json();
  } catch (error) {
    if (error instanceof Refused) showFaults(byId("steps-faults"), error.errors);
    return;
  }
  showFaults(byId("steps-faults"), []);
  byId("steps-old").hidden = true;
  byId("steps-clear").hidden = false;
  notes = JSON.parse(localStorage.getItem(place()) ?? "{}");
  const page = new DOMParser().parseFromString(sheet.page, "text/html");
  byId("steps").replaceChildren(...page.querySelectorAll("main > section"));
  byId("steps").querySelectorAll("ul.ticks li").forEach(tickable);
}
byId("steps-load").addEventListener("click", load);
onForm(() => { byId("steps-old").hidden = !sheet; dry(); });

// A step of the sheet: a tick before it, a field for each of its boxes.
function tickable(item, number) {
  const tick = make("input", { type: "checkbox", checked: Boolean(notes[`tick-${number}`]) });
  tick.setAttribute("aria-label", `${say("bench_step")}: ${item.textContent.trim().slice(0, 60)}`);
  const settle = () => item.classList.toggle("done", tick.checked);
  tick.addEventListener("change", () => { notes[`tick-${number}`] = tick.checked; keep(); settle(); });
  for (const box of item.querySelectorAll(".box")) box.replaceWith(boxed(box));
  item.prepend(tick);
  settle();
}

function boxed(box) {
  const key = box.dataset.key;
  const field = make("input", { type: "text", value: notes[key] ?? "", autocomplete: "off" });
  field.dataset.box = key;
  field.addEventListener("input", () => { notes[key] = field.value; keep(); if (key === "gap_shy" || key === "gap_final") fromBox(key, field.value); });
  return make("label", { className: "box" }, box.textContent.trim(), field);
}

// A gap written into a step's box is the dry fit's reading.
function fromBox(key, value) {
  byId("dry-gap").value = value;
  byId("dry-stage").value = key === "gap_shy" ? "shy" : "final";
  dry();
}

byId("steps-clear").addEventListener("click", () => {
  localStorage.removeItem(place());
  load();
});

// Printing takes the sheet's own page, not this one.
byId("steps-print").addEventListener("click", async () => {
  if (!sheet || !byId("steps-old").hidden) await load();
  if (!sheet) return;
  const frame = make("iframe", { srcdoc: sheet.page, title: say("print"), className: "print" });
  frame.addEventListener("load", () => frame.contentWindow.print());
  document.querySelector("iframe.print")?.remove();
  document.body.append(frame);
});

const dry = latest(async () => {
  const readings = Object.fromEntries(["gap", "sideways", "stage", "rest"].map((name) => [name, byId(`dry-${name}`).value]));
  if (!readings.gap.trim()) { byId("dry").replaceChildren(); showFaults(byId("dry-fault"), []); return; }
  try {
    const told = await (await ask("adjust", { readings })).json();
    showFaults(byId("dry-fault"), []);
    byId("dry").classList.remove("stale");
    const picture = make("img", { alt: told.advice[0], src: `data:image/svg+xml,${encodeURIComponent(told.picture)}` });
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
  for (const key of LOGGED) if (notes[key]) entry[key] = notes[key];
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
