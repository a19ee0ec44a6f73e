// The view in three dimensions: fetches the model for a use when it is looked at, and lists its parts.

import { ask, byId, latest, make, onForm, Refused, say } from "./core.js";
import { called, parts, Viewer } from "./viewer.js";

let viewer = null;
let looking = false;
let stale = true;
const hidden = new Set();

const use = () => document.querySelector("input[name=use]:checked").value;

const load = latest(async () => {
  viewer ??= new Viewer(byId("canvas"), byId("named"));
  if (!viewer.works) { await flat(); return; }
  try {
    const found = parts(await (await ask("model", { use: use() })).arrayBuffer());
    stale = false;
    byId("canvas").classList.remove("stale");
    viewer.show(found, hidden);
    list(found);
  } catch (error) {
    if (!(error instanceof Refused)) return;
    byId("canvas").classList.add("stale");
  }
});

// Without WebGL the setup sheet's picture of this use.
async function flat() {
  const sheet = await (await ask("sheet")).json();
  const page = new DOMParser().parseFromString(sheet.page, "text/html");
  const figures = page.querySelectorAll(".figures figure");
  byId("canvas").hidden = true;
  byId("flat").hidden = false;
  byId("flat").replaceChildren(make("p", {}, say("no_webgl")), figures[use() === "neck" ? 0 : 1] ?? "");
  stale = false;
}

function list(found) {
  byId("parts").replaceChildren(...found.map((part, number) => {
    const tick = make("input", { type: "checkbox", checked: !hidden.has(part.name) });
    tick.dataset.part = part.name;
    tick.dataset.of = part.of;
    tick.addEventListener("change", () => { if (tick.checked) hidden.delete(part.name); else hidden.add(part.name); viewer.hide(hidden); });
    const line = make("label", {}, tick, ` ${called(part)}`);
    line.addEventListener("pointerenter", () => viewer.point(number));
    tick.addEventListener("focus", () => viewer.point(number));
    return line;
  }));
}

function settle() {
  for (const tick of byId("parts").querySelectorAll("input")) tick.checked = !hidden.has(tick.dataset.part);
  viewer?.hide(hidden);
  viewer?.home();
}
byId("jig-alone").addEventListener("click", () => {
  for (const tick of byId("parts").querySelectorAll("input")) if (tick.dataset.of === "around") hidden.add(tick.dataset.part);
  settle();
});
byId("show-all").addEventListener("click", () => { hidden.clear(); settle(); });
byId("apart").addEventListener("input", (event) => { if (viewer?.works) { viewer.apart = event.target.value / 60; viewer.draw(); } });
for (const radio of document.querySelectorAll("input[name=use]")) radio.addEventListener("change", load);
addEventListener("view", (event) => { looking = event.detail === "3d"; if (looking && stale) load(); });
onForm(() => { stale = true; if (looking) load(); });
