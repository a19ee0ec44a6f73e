// A class from a table: what is wrong in it, the plan of what is right, and all of it made.

import { ask, byId, latest, make, onForm, Refused, say, showFaults } from "./core.js";
import { filesOf, folders, list, zipButton } from "./files.js";
import { Making } from "./making.js";

const TABLE = /\.(csv|tsv|txt|xlsx|ods)$/i;
// What the teacher reads and the students get.
const FIRST = /^(summary\.pdf|handouts\/.*)$/;
// A class's kits are folders of their own and come with the zip.
const IN_A_KIT = /^kits\//;
const making = new Making("class-make");
let table = null, stale = false, looking = false;

export const isTable = (file) => TABLE.test(file.name);

// What the page asks of the table: the rows' other keys from the form or not, the good rows alone or none.
const asked = () => ({ table, base: byId("class-base").checked, good_only: byId("class-good").checked });

export async function openTable(file) {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let text = "";
  for (let at = 0; at < bytes.length; at += 8192) text += String.fromCharCode(...bytes.subarray(at, at + 8192));
  table = { name: file.name, data: btoa(text) };
  byId("class-good").checked = false;
  byId("class-name").textContent = say("class_table", { name: file.name });
  await read();
}

const read = latest(async () => {
  if (!table) return;
  byId("class-plan").classList.add("stale");
  byId("class-made").replaceChildren();
  making.told.textContent = say("working");
  showFaults(making.faults, []);
  try {
    byId("class-plan").innerHTML = await (await ask("class", asked())).text();
    stale = false;
    show(byId("class-plan").firstElementChild.dataset);
  } catch (error) {
    byId("class-plan").replaceChildren();
    show({ faults: "0" });
    if (error instanceof Refused) showFaults(making.faults, error.errors);
  } finally {
    byId("class-plan").classList.remove("stale");
    making.told.textContent = "";
  }
}, byId("class-plan"));

// Good rows can go alone where some are wrong; there is something to make where there is a plan.
function show({ faults, good, plan }) {
  byId("class-good-line").hidden = !(Number(faults) && Number(good));
  making.button.hidden = plan === undefined;
}

for (const name of ["class-base", "class-good"]) byId(name).addEventListener("change", read);
onForm(() => {
  if (!byId("class-base").checked) return;
  stale = true;
  if (looking) read();
});
addEventListener("view", (event) => {
  looking = event.detail === "class";
  if (looking && stale) read();
});

making.button.addEventListener("click", async () => {
  byId("class-made").replaceChildren();
  const made = await making.run("class/make", asked());
  if (!made) return;
  const files = filesOf(made), own = files.filter((file) => !IN_A_KIT.test(file.short));
  const kits = new Set(files.filter((file) => IN_A_KIT.test(file.short)).map((file) => file.short.split("/")[1]));
  making.told.textContent = say("class_made", { count: files.length, kits: kits.size, size: (made.bytes.length / 1e6).toFixed(1) });
  if (made.errors.length) showFaults(making.faults, [{ found: say("class_unmade") }, ...made.errors]);
  const all = zipButton(made, say("class_download"));
  all.id = "class-zip";
  byId("class-made").replaceChildren(make("p", {}, all), make("p", {}, say("class_next", { name: made.name })), make("h2", {}, say("begin")), list(own.filter((file) => FIRST.test(file.short)).reverse()), make("h2", {}, say("files")), ...folders(own.filter((file) => !FIRST.test(file.short))));
});
