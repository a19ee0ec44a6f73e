// Whatever stands on the screen, printing gives the setup sheet of the form, as the sheet's own page looks,
// with the ticks and boxes of this browser.

import { form, make, onForm } from "./core.js";

let sheet = null, stale = true;
onForm(() => { stale = true; });

// The sheet as it was answered for the form that stands.
export function keepSheet(found) { sheet = found; stale = false; }
export const freshSheet = () => (stale ? null : sheet);

export const kept = (of) => JSON.parse(localStorage.getItem(`heelwright:${of.job}:${of.checksum}`) ?? "{}");

// Put what was ticked and written into the ticks and boxes under `place`.
export function fillIn(place, found) {
  for (const tick of place.querySelectorAll("[data-tick]")) tick.checked = Boolean(found.done?.[tick.dataset.tick]);
  for (const box of place.querySelectorAll("[data-box]")) box.value = found.boxes?.[box.dataset.box] ?? "";
}

// A browser about to print waits for no promise.
function askNow() {
  const asked = new XMLHttpRequest();
  asked.open("POST", "sheet", false);
  try {
    asked.send(JSON.stringify(form()));
    if (asked.status === 200) keepSheet(JSON.parse(asked.responseText));
  } catch { /* a server that is gone: the page itself is printed */ }
}

const own = [...document.querySelectorAll("link[rel=stylesheet]")];
addEventListener("beforeprint", () => {
  if (stale) askNow();
  if (stale || document.getElementById("paper")) return;
  const page = new DOMParser().parseFromString(sheet.page, "text/html");
  const paper = make("div", { id: "paper" }, ...page.querySelectorAll("body > header, body > main, body > footer"));
  fillIn(paper, kept(sheet));
  const hide = make("style", {}, "body > :not(#paper) { display: none !important; } :root { color-scheme: light; }");
  paper.prepend(...page.querySelectorAll("style"), hide);
  for (const link of own) link.disabled = true;
  document.body.append(paper);
});
addEventListener("afterprint", () => {
  document.getElementById("paper")?.remove();
  for (const link of own) link.disabled = false;
});
