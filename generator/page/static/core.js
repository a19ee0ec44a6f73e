// What every part of the page needs: its words, the form as it stands, asking the server, and the server gone.

export const data = JSON.parse(document.getElementById("data").textContent);
export const byId = (id) => document.getElementById(id);

export function say(key, values = {}) {
  return data.words[key].replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");
}

// The form: a text for each key that differs from the presets, and tables carried along unseen.
let current = data.first;
const heard = [];
export const form = () => current;
export function setForm(next) { current = next; heard.forEach((tell) => tell(next)); }
export function onForm(tell) { heard.push(tell); }

export class Refused extends Error {
  constructor(errors) { super("refused"); this.errors = errors; }
}

// Ask by POST; Refused carries the faults. A server that does not answer is said, and what was typed stays.
export async function ask(path, body = {}, options = {}) {
  let reply;
  try {
    reply = await fetch(path, { method: "POST", body: JSON.stringify({ ...current, ...body }), ...options });
  } catch (error) {
    if (error.name !== "AbortError") lost();
    throw error;
  }
  found();
  if (reply.status === 422) {
    const told = await reply.json();
    throw Object.assign(new Refused(told.errors), { told });
  }
  if (!reply.ok) { lost(); throw new Error(await reply.text()); }
  return reply;
}

let waiting = null;
function lost() {
  byId("lost").hidden = false;
  waiting ??= setInterval(async () => {
    try { if ((await fetch("alive")).ok) { found(); setForm(current); } } catch { /* still gone */ }
  }, 2000);
}
function found() {
  byId("lost").hidden = true;
  clearInterval(waiting);
  waiting = null;
}
byId("save-form").addEventListener("click", () => save(`${current.fields["job.name"] || "form"}.form.json`, JSON.stringify(current)));

export function save(name, content, type = "application/octet-stream") {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(content instanceof Blob ? content : new Blob([content], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

export const svgAddress = (text) => `data:image/svg+xml,${encodeURIComponent(text)}`;

export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (key in element && key !== "list") element[key] = value; else element.setAttribute(key, value);
  }
  element.append(...children);
  return element;
}

export function showFaults(place, errors) {
  place.hidden = errors.length === 0;
  place.replaceChildren(...errors.map((e) => make("span", {}, faultText(e))));
}
export function faultText(e) {
  const said = e.allowed ? say("wrong", e) : e.found;
  return e.key ? `${e.key}: ${said}` : said;
}

// The form in an address: deflated, in letters that an address may hold.
export async function pack(value) {
  const stream = new Blob([JSON.stringify(value)]).stream().pipeThrough(new CompressionStream("deflate-raw"));
  const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
  return btoa(String.fromCharCode(...bytes)).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
}
export async function unpack(text) {
  const bytes = Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (sign) => sign.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  return JSON.parse(await new Response(stream).text());
}
export async function fromAddress() {
  if (location.hash.length < 20) return null;
  try {
    const found = await unpack(location.hash.slice(1));
    return found && typeof found.fields === "object" ? { fields: found.fields, kept: found.kept ?? {} } : null;
  } catch { return null; }
}

// Run `work` for the newest call only, one at a time: while it runs, later calls wait as one. What it fills is busy.
export function latest(work, place) {
  let busy = false, again = false;
  return async function run() {
    if (busy) { again = true; return; }
    busy = true;
    place?.setAttribute("aria-busy", "true");
    try { await work(); } catch { /* said by `ask` */ } finally {
      busy = false;
      if (again) { again = false; run(); } else place?.setAttribute("aria-busy", "false");
    }
  };
}
