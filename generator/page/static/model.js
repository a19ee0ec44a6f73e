// The view in three dimensions: fetches the model for a use when it is looked at, and lists its parts.

import { ask, byId, latest, make, onForm, Refused, say, svgAddress } from "./core.js";
import { parts, Viewer } from "./viewer.js";

let viewer = null;
let looking = false;
let stale = true;
const hidden = new Set();

const use = () => document.querySelector("input[name=use]:checked").value;

const load = latest(async () => {
  viewer ??= new Viewer(byId("canvas"), byId("named"));
  try {
    if (!viewer.works) { await flat(); return; }
    const found = parts(await (await ask("model", { use: use() })).arrayBuffer());
    fresh(true);
    viewer.show(found, hidden);
    list(found);
  } catch (error) {
    if (!(error instanceof Refused)) return;
    fresh(false);
  }
});

// Without WebGL the drawing of this use stands there, and what turns a model goes.
async function flat() {
  for (const part of document.querySelectorAll("[data-turned]")) part.hidden = true;
  byId("flat").hidden = false;
  byId("flat").closest(".stage").classList.add("still");
  const picture = make("img", { alt: say(`still_${use()}`), src: svgAddress(await (await ask("still", { use: use() })).text()) });
  byId("flat").replaceChildren(make("p", {}, say("no_webgl")), picture);
  fresh(true);
}

// A wrong field greys what was last right, and says so.
function fresh(right) {
  stale = !right;
  for (const place of ["canvas", "flat"]) byId(place).classList.toggle("stale", !right);
  byId("model-status").textContent = right ? "" : say("stale");
}

// One line for what belongs together: a clamp's pieces, screws of one kind.
function list(found) {
  const groups = grouped(found);
  byId("parts").replaceChildren(...[...groups].map(([group, own]) => {
    const tick = make("input", { type: "checkbox", checked: !own.every((part) => hidden.has(part.name)) });
    tick.dataset.part = group;
    tick.dataset.of = own[0].of;
    const turn = () => { for (const part of own) if (tick.checked) hidden.delete(part.name); else hidden.add(part.name); };
    tick.addEventListener("change", () => { turn(); viewer.hide(hidden); });
    tick.addEventListener("settle", turn);
    const line = make("label", {}, tick, make("span", {}, lineOf(group, own)));
    const first = found.indexOf(own[0]);
    line.addEventListener("pointerenter", () => viewer.point(first));
    tick.addEventListener("focus", () => viewer.point(first));
    return line;
  }));
}
function grouped(found) {
  const groups = new Map();
  for (const part of found) groups.set(part.group, [...(groups.get(part.group) ?? []), part]);
  return groups;
}
function lineOf(group, own) {
  const name = group.replaceAll("_", " "), title = own[0].title;
  if (!title) return name;
  return own.length > 1 ? say("pieces", { name, title, count: own.length }) : `${name}: ${title}`;
}

function settle(shows) {
  for (const tick of byId("parts").querySelectorAll("input")) {
    tick.checked = shows(tick);
    tick.dispatchEvent(new Event("settle"));
  }
  viewer?.hide(hidden);
  viewer?.home();
}
byId("jig-alone").addEventListener("click", () => settle((tick) => tick.checked && tick.dataset.of !== "around"));
byId("show-all").addEventListener("click", () => { hidden.clear(); settle(() => true); });
byId("apart").addEventListener("input", (event) => { if (viewer?.works) { viewer.apart = event.target.value / 60; viewer.draw(); } });
for (const radio of document.querySelectorAll("input[name=use]")) radio.addEventListener("change", load);
addEventListener("view", (event) => { looking = event.detail === "3d"; if (looking && stale) load(); });
onForm(() => { stale = true; if (looking) load(); });
