// Making the kit: steps as they come, a way to stop, then the zip and its files.

import { ask, byId, make, Refused, save, say, showFaults } from "./core.js";
import { entries } from "./zip.js";

const TYPES = { pdf: "application/pdf", svg: "image/svg+xml", html: "text/html", json: "application/json", toml: "text/plain", png: "image/png" };
const OPENED = ["pdf", "html", "json", "toml"], SEEN = ["svg", "png"];
const FIRST = /\/(setup_sheet\.pdf|pictures\/.*\.svg)$/;
// Its links and pictures are the folder's: alone it shows nothing.
const OF_THE_FOLDER = "index.html";
let stop = null;

function running(on) {
  byId("make").disabled = on;
  byId("cancel").hidden = !on;
  byId("progress").hidden = !on;
}

byId("make").addEventListener("click", async () => {
  stop = new AbortController();
  running(true);
  byId("kit").replaceChildren();
  showFaults(byId("make-faults"), []);
  byId("made").textContent = say("working");
  try {
    const reply = await ask("make", {}, { signal: stop.signal });
    const kit = await received(reply.body.getReader());
    if (kit) show(kit);
  } catch (error) {
    byId("made").textContent = error.name === "AbortError" ? say("cancelled") : "";
    if (error instanceof Refused) showFaults(byId("make-faults"), error.errors);
  } finally { running(false); }
});
byId("cancel").addEventListener("click", () => stop?.abort());

// Lines of JSON until one says how long the zip is, then the zip.
async function received(reader) {
  let rest = new Uint8Array(), head = null;
  for (;;) {
    const { done, value } = await reader.read();
    if (value) rest = joined(rest, value);
    while (!head) {
      const end = rest.indexOf(10);
      if (end < 0) break;
      const line = JSON.parse(new TextDecoder().decode(rest.subarray(0, end)));
      rest = rest.slice(end + 1);
      if (line.step) byId("made").textContent = say("making", line);
      else if (line.errors) { byId("made").textContent = ""; showFaults(byId("make-faults"), line.errors); return null; }
      else head = line;
    }
    if (done) return head && rest.length === head.zip ? { name: head.name, bytes: rest } : Promise.reject(new TypeError("cut short"));
  }
}
function joined(a, b) {
  const all = new Uint8Array(a.length + b.length);
  all.set(a);
  all.set(b, a.length);
  return all;
}

function show(kit) {
  const files = entries(kit.bytes);
  byId("made").textContent = say("made", { count: files.length, size: Math.round(kit.bytes.length / 1024) });
  const all = make("button", { type: "button", className: "main", id: "zip" }, say("download"));
  all.addEventListener("click", () => save(`${kit.name}.zip`, kit.bytes, "application/zip"));
  const begin = files.filter((file) => FIRST.test(file.name)).reverse().map(line), rest = files.filter((file) => !FIRST.test(file.name)).map(line);
  const list = (own) => make("ul", { className: "kit" }, ...own);
  byId("kit").replaceChildren(make("p", {}, all), make("h2", {}, say("begin")), list(begin), make("h2", {}, say("files")), list(rest));
  for (const picture of byId("kit").querySelectorAll("ul:first-of-type [aria-expanded]")) picture.click();
}

// A file's line: keep it, open it in a tab of its own, or where it is a picture see it here.
function line(file) {
  const ending = file.name.split(".").pop(), short = file.name.slice(file.name.indexOf("/") + 1);
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
