// Making the kit, and what is in it.

import { byId, make, say } from "./core.js";
import { filesOf, folders, list, zipButton } from "./files.js";
import { Making } from "./making.js";

const FIRST = /^(setup_sheet\.pdf|pictures\/.*\.svg)$/;
const making = new Making("make");

making.button.addEventListener("click", async () => {
  byId("kit").replaceChildren();
  const kit = await making.run("make");
  if (kit) show(kit);
});

function show(kit) {
  const files = filesOf(kit), first = files.filter((file) => FIRST.test(file.short)).reverse(), rest = files.filter((file) => !FIRST.test(file.short));
  making.told.textContent = say("made", { count: files.length, size: Math.round(kit.bytes.length / 1024) });
  const all = zipButton(kit, say("download"));
  all.id = "zip";
  byId("kit").replaceChildren(make("p", {}, all), make("h2", {}, say("begin")), list(first), make("h2", {}, say("files")), ...folders(rest));
  for (const picture of byId("kit").querySelector("ul").querySelectorAll("[aria-expanded]")) picture.click();
}
