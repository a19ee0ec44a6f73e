// Files out of a zip: each can be kept, opened in a tab of its own, or where it is a picture seen here.

import { make, save, say } from "./core.js";
import { entries } from "./zip.js";

const TYPES = { pdf: "application/pdf", svg: "image/svg+xml", html: "text/html", json: "application/json", toml: "text/plain", csv: "text/plain", png: "image/png" };
const OPENED = ["pdf", "html", "json", "toml"], SEEN = ["svg", "png"];
// Its links and pictures are the folder's: alone it shows nothing.
const OF_THE_FOLDER = "index.html";

// Its files, each with `short`, its name in the folder.
export function filesOf(made) {
  return entries(made.bytes).map((file) => ({ ...file, short: file.name.slice(file.name.indexOf("/") + 1) }));
}

export function zipButton(made, words) {
  const button = make("button", { type: "button", className: "main" }, words);
  button.addEventListener("click", () => save(`${made.name}.zip`, made.bytes, "application/zip"));
  return button;
}

export const list = (files) => make("ul", { className: "kit" }, ...files.map(line));

// Files of a folder wait behind its name, those of none stand first.
export function folders(files) {
  const found = new Map([["", []]]);
  for (const file of files) {
    const name = file.short.includes("/") ? file.short.split("/")[0] : "";
    found.set(name, [...(found.get(name) ?? []), file]);
  }
  return [...found].map(([name, own]) => (name ? make("details", {}, make("summary", {}, say("folder", { name, count: own.length })), list(own)) : list(own)));
}

function line(file) {
  const ending = file.name.split(".").pop(), short = file.short;
  const item = make("li", {}, make("span", {}, short));
  const button = (key, work) => {
    const found = make("button", { type: "button" }, say(key));
    found.setAttribute("aria-label", `${say(key)}: ${short}`);
    found.addEventListener("click", () => work(found));
    item.append(found);
    return found;
  };
  button("save_file", async () => save(short.split("/").pop(), await file.blob(TYPES[ending])));
  if (OPENED.includes(ending) && short !== OF_THE_FOLDER) button("open_file", async () => open(URL.createObjectURL(await file.blob(TYPES[ending])), "_blank"));
  if (SEEN.includes(ending)) button("see_file", (found) => see(file, TYPES[ending], short, item, found)).setAttribute("aria-expanded", "false");
  return item;
}

async function see(file, type, title, item, button) {
  const shown = item.querySelector("img");
  button.setAttribute("aria-expanded", String(!shown));
  const word = say(shown ? "see_file" : "hide_file");
  button.textContent = word;
  button.setAttribute("aria-label", `${word}: ${title}`);
  if (shown) { URL.revokeObjectURL(shown.src); shown.remove(); return; }
  item.append(make("img", { alt: title, src: URL.createObjectURL(await file.blob(type)) }));
}
