// The live pictures, set by set, and where the measurement in hand is taken.

import { byId, make } from "./core.js";

const NARROW = matchMedia("(max-width: 61.99rem)");
let pictures = [];
let lit = null;

const chosen = () => document.querySelector("input[name=set]:checked").value;
const has = (picture) => lit !== null && picture.keys.includes(lit);

export function showPictures(found) {
  pictures = found;
  draw();
}

// Light up a key's dimension, in whichever set it is; none when no field is in hand.
export function light(key) {
  lit = key ?? null;
  const shows = pictures.filter(has);
  if (shows.length && !shows.some((picture) => picture.set === chosen())) {
    document.querySelector(`input[name=set][value=${shows[0].set}]`).checked = true;
    draw();
  } else mark();
}

function draw() {
  const figure = (picture) => {
    const found = make("figure", {});
    found.innerHTML = picture.svg;
    found.append(make("figcaption", { "aria-hidden": "true" }, picture.title));
    return found;
  };
  byId("pictures").replaceChildren(...pictures.filter((picture) => picture.set === chosen()).map(figure));
  mark();
}
for (const radio of document.querySelectorAll("input[name=set]")) radio.addEventListener("change", draw);

// On a narrow page the pictures lie far below the form, so the one that shows the measurement
// largest, the last of its set, stands at the top.
function mark() {
  const near = byId("near"), shows = NARROW.matches ? pictures.findLast(has) : undefined;
  near.hidden = !shows;
  near.innerHTML = shows ? shows.svg : "";
  for (const group of document.querySelectorAll("#pictures [data-keys], #near [data-keys]")) group.classList.toggle("lit", lit !== null && group.dataset.keys.split(" ").includes(lit));
}
NARROW.addEventListener("change", mark);
