// The form: what was typed, what differs from the presets, the way back, faults at their fields, views and files.

import { ask, byId, faultText, form, fromAddress, latest, make, onForm, pack, Refused, save, say, setForm, showFaults } from "./core.js";
import { render, stale } from "./numbers.js";
import { light } from "./pictures.js";
import { isTable, openTable } from "./classmake.js";
import "./make.js";
import "./bench.js";
import "./model.js";
import "./guided.js";

const WHOLE = ["instrument.top", "target", "joint.bolts"];
const PICKERS = ["instrument.preset", "router.preset", "jig.preset"];
const SLIDES = { saddle_gap: [-2, 12], bridge_clearance: [-4, 6], action: [0.5, 6] };
const inputs = new Map([...document.querySelectorAll("[data-key]")].map((input) => [input.dataset.key, input]));
const way = byId("way");
let bases = {};
let last = null;

const text = (input) => (input.type === "checkbox" ? String(input.checked) : input.value);
function put(input, value) {
  if (input.type === "checkbox") input.checked = value === "true";
  else if (input.value !== value) input.value = value;
}
const row = (key) => inputs.get(key).closest(".entry");
const table = (key) => WHOLE.find((name) => key.startsWith(name + "."));
const shown = (key) => !row(key).hidden;
const isPicker = (key) => key === "job.name" || PICKERS.includes(key);
const differs = (key) => !isPicker(key) && text(inputs.get(key)) !== (bases[key] ?? "");
const wayOf = (texts) => (texts["target.action_bass"] || texts["target.action_treble"] ? "action" : texts["target.bridge_clearance"] ? "bridge_clearance" : "saddle_gap");

// A whole table differs when one of its shown fields does, or when another form or way is chosen.
function wholeDiffers(name) {
  const keys = [...inputs.keys()].filter((key) => table(key) === name);
  if (name === "target" && way.value !== wayOf(bases)) return true;
  return keys.some((key) => shown(key) && differs(key));
}

function read() {
  const fields = {};
  const whole = WHOLE.filter(wholeDiffers);
  for (const [key, input] of inputs) {
    const name = table(key);
    if (isPicker(key)) { if (text(input) || key === "job.name") fields[key] = text(input); }
    else if (shown(key) && (name ? whole.includes(name) : differs(key))) fields[key] = text(input);
  }
  return { fields, kept: form().kept };
}

// What a key that belongs to one form, way or kind is held against.
function chosen(key) {
  if (key.startsWith("target.")) return way.value;
  return inputs.get(key.startsWith("instrument.top.") ? "instrument.top.form" : "joint.kind").value;
}

function reveal() {
  for (const line of document.querySelectorAll("[data-only]")) {
    line.hidden = line.dataset.only !== chosen(line.dataset.entry);
  }
}

function mark() {
  for (const key of inputs.keys()) {
    const changed = differs(key);
    const line = row(key), button = line.querySelector(".back");
    line.classList.toggle("changed", changed);
    if (!button) continue;
    const option = [...(inputs.get(key).options ?? [])].find((one) => one.value === bases[key]);
    const base = option ? option.text : bases[key];
    button.hidden = !changed || base === undefined || base === "";
    button.textContent = say("back", { base });
  }
  for (const fold of document.querySelectorAll("details[data-group]")) {
    const count = fold.querySelectorAll(".changed").length;
    fold.querySelector(".count").textContent = count ? `${count} ${say("changed")}` : "";
  }
}

// Put a form into the fields; what it leaves alone waits for the server's bases.
let fresh = true;
function show(next) {
  fresh = true;
  for (const [key, input] of inputs) put(input, next.fields[key] ?? "");
  if (Object.keys(next.fields).some((key) => key.startsWith("target."))) way.value = wayOf(next.fields);
  setForm(next);
}

function takeBases(found) {
  const old = bases;
  bases = found;
  const own = form().fields;
  const wayWas = wayOf(old);
  for (const [key, input] of inputs) {
    if (isPicker(key) || document.activeElement === input && !fresh) continue;
    const name = table(key);
    const wholeIsOwn = name && Object.keys(own).some((one) => one.startsWith(name + "."));
    const alone = fresh ? !(key in own) && !wholeIsOwn : text(input) === (old[key] ?? "");
    if (alone) put(input, found[key] ?? "");
  }
  const targetIsOwn = Object.keys(own).some((key) => key.startsWith("target."));
  if (!targetIsOwn && (fresh || way.value === wayWas)) way.value = wayOf(found);
  if (fresh && !("jig.preset" in own)) put(inputs.get("jig.preset"), found["jig.preset"]);
  fresh = false;
  reveal();
  mark();
}

function faults(errors) {
  const left = [];
  for (const [key, input] of inputs) {
    input.removeAttribute("aria-invalid");
    const place = byId(`${input.id}-fault`);
    if (place) place.hidden = true;
  }
  for (const error of errors) {
    const key = [...inputs.keys()].find((one) => one === error.key && shown(one))
      ?? [...inputs.keys()].find((one) => error.key && one.startsWith(error.key + ".") && shown(one));
    const place = key && byId(`${inputs.get(key).id}-fault`);
    if (!place) { left.push(error); continue; }
    inputs.get(key).setAttribute("aria-invalid", "true");
    place.hidden = false;
    place.textContent = say("wrong", error);
    row(key).closest("details")?.setAttribute("open", "");
  }
  showFaults(byId("faults"), left);
}

function echoes(told) {
  for (const [key, input] of inputs) {
    const place = byId(`${input.id}-echo`);
    if (!place) continue;
    const follows = told.follows?.[key];
    if (told.echo[key]) place.textContent = told.echo[key];
    else place.textContent = follows ? say(follows.source === "shop" ? "from_shop" : "follows", follows) : "";
  }
}

const update = latest(async () => {
  let told;
  try {
    told = await (await ask("numbers")).json();
  } catch (error) {
    if (!(error instanceof Refused)) return;
    told = error.told;
  }
  takeBases(told.base ?? bases);
  if (told.echo) echoes(told);
  faults(told.errors ?? []);
  slider(told.results);
  if (told.errors) stale();
  else { last = told.results; render(told); }
}, byId("result"));

let address = 0;
function remember(push) {
  clearTimeout(address);
  address = setTimeout(async () => {
    const hash = `#${await pack(form())}`;
    if (hash !== location.hash) history[push ? "pushState" : "replaceState"](null, "", hash);
  }, 120);
}

function typed(push = false) {
  reveal();
  mark();
  setForm(read());
  remember(push);
}
onForm(() => { byId("job-title").textContent = form().fields["job.name"] ?? ""; update(); });

byId("form").addEventListener("submit", (event) => event.preventDefault());
byId("form").addEventListener("input", (event) => {
  if (event.target === way) chooseWay();
  if (event.target.dataset.key || event.target === way) typed();
});
byId("form").addEventListener("change", (event) => { if (event.target.dataset.key) remember(true); });
byId("form").addEventListener("click", (event) => {
  const key = event.target.dataset?.back;
  if (!key) return;
  put(inputs.get(key), bases[key] ?? "");
  if (key === "instrument.top.form") for (const other of inputs.keys()) if (table(other) === "instrument.top") put(inputs.get(other), bases[other] ?? "");
  inputs.get(key).focus();
  typed(true);
});
addEventListener("popstate", async () => { const found = await fromAddress(); if (found) show(found); });

// The target said in another way begins with what the last one gave.
function chooseWay() {
  const set = last?.neck_set;
  if (!set) return;
  const given = {
    "target.saddle_gap": set.saddle_gap_mm.toFixed(2),
    "target.bridge_clearance": set.bridge_clearance_mm.toFixed(2),
    "target.action_bass": (set.action_mm + 0.2).toFixed(2),
    "target.action_treble": (set.action_mm - 0.2).toFixed(2),
  };
  for (const [key, value] of Object.entries(given)) if (!inputs.get(key).value) put(inputs.get(key), value);
}

function slider(results) {
  const slide = byId("slide");
  [slide.min, slide.max] = SLIDES[way.value];
  const set = results?.neck_set;
  if (set && document.activeElement !== slide) slide.value = { saddle_gap: set.saddle_gap_mm, bridge_clearance: set.bridge_clearance_mm, action: set.action_mm }[way.value];
}
byId("slide").addEventListener("input", (event) => {
  const value = Number(event.target.value);
  if (way.value === "action") {
    const half = 0.2;
    put(inputs.get("target.action_bass"), (value + half).toFixed(2));
    put(inputs.get("target.action_treble"), (value - half).toFixed(2));
  } else put(inputs.get(`target.${way.value}`), value.toFixed(2));
  typed();
});

// The focused field's dimension lights up in the pictures, and the field keeps clear of the one at a phone's top.
function inHand() {
  const held = document.activeElement?.dataset;
  light(held?.key ?? held?.shown);
}
byId("form").addEventListener("focusin", (event) => {
  inHand();
  if (!byId("near").hidden) event.target.closest(".entry")?.scrollIntoView({ block: "nearest" });
});
byId("form").addEventListener("focusout", () => setTimeout(inHand));

// Files: a dropped or chosen job or results.json becomes the form, a table a class; the form becomes a job file.
async function open(file) {
  if (isTable(file)) { turnTo(byId("tab-class")); openTable(file); return; }
  try {
    show(await (await ask("open", { text: await file.text() })).json());
    remember(true);
  } catch (error) {
    if (error instanceof Refused) showFaults(byId("faults"), error.errors);
  }
}
for (const place of ["load", "load-table"]) byId(place).addEventListener("change", (event) => { if (event.target.files[0]) open(event.target.files[0]); event.target.value = ""; });
addEventListener("dragover", (event) => event.preventDefault());
addEventListener("drop", (event) => { event.preventDefault(); const file = event.dataTransfer.files[0]; if (file) open(file); });
byId("save").addEventListener("click", async () => {
  try { save(`${form().fields["job.name"]}.toml`, await (await ask("save")).blob()); }
  catch (error) { if (error instanceof Refused) faults(error.errors); }
});

// Views.
const tabs = [...document.querySelectorAll("[role=tab]")];
function turnTo(tab) {
  for (const one of tabs) {
    const on = one === tab;
    one.setAttribute("aria-selected", String(on));
    one.tabIndex = on ? 0 : -1;
    byId(one.getAttribute("aria-controls")).hidden = !on;
  }
  dispatchEvent(new CustomEvent("view", { detail: tab.id.slice(4) }));
}
for (const tab of tabs) {
  tab.addEventListener("click", () => turnTo(tab));
  tab.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    const next = tabs[(tabs.indexOf(tab) + step + tabs.length) % tabs.length];
    next.focus();
    turnTo(next);
  });
}

// Another part of the page fills fields.
addEventListener("fill", (event) => {
  way.value = event.detail.way;
  for (const [key, value] of Object.entries(event.detail.values)) put(inputs.get(key), value);
  typed(true);
});

show((await fromAddress()) ?? form());
