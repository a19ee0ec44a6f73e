// What follows at once: pictures, numbers, checks, what the player gets, other gaps, the full drawing when typing rests.

import { ask, byId, data, latest, make, say } from "./core.js";
import { showPictures } from "./pictures.js";

const SHOWN = {
  neck_set: ["set_angle_deg", "heel_angle_deg", "saddle_gap_mm", "join_to_saddle_mm", "top_rise_at_saddle_mm", "extension_gap_mm"],
  joint: ["mortise_width_mm", "mortise_length_mm", "mortise_depth_mm", "tenon_width_mm", "tenon_length_mm", "tenon_projection_mm"],
  router: ["opening_width_mm", "tongue_width_mm", "reach_needed_mm"],
  cradle: ["angle_rest_drawn_mm", "depth_block_mm"],
  uncertainty: ["gap_likely_mm"],
};

export function spell(key, value) {
  if (key.endsWith("_deg")) return `${value.toFixed(3)}°`;
  const plain = value.toFixed(2).replace(/^-0\.00$/, "0.00");
  return `${plain} mm (${(value / data.inch).toFixed(3).replace(/^-0\.000$/, "0.000")} in)`;
}

function lines(place, rows) {
  place.replaceChildren(...rows.map(([key, value]) => make("tr", {}, make("th", { scope: "row" }, data.numbers[key] ?? key), make("td", {}, spell(key, value)))));
}

export function stale() {
  byId("result").classList.add("stale");
  byId("status").textContent = say("stale");
}

export function render(told) {
  const result = byId("result"), checks = told.results.checks;
  result.classList.remove("stale");
  const count = (status) => checks.filter((check) => check.status === status).length;
  const minded = { warns: count("warn"), fails: count("fail") };
  byId("status").textContent = say(minded.warns || minded.fails ? "right" : "all_right", minded);
  showPictures(told.pictures);
  lines(byId("player"), Object.entries(told.player));
  lines(byId("numbers"), Object.entries(SHOWN).flatMap(([table, keys]) => keys.map((key) => [key, told.results[table][key]])));
  showChecks(checks, count("ok"));
  alternatives(told.alternatives, told.results.neck_set.saddle_gap_mm);
  drawSoon();
  dispatchEvent(new CustomEvent("numbers", { detail: told.results }));
}

function showChecks(checks, passed) {
  const rank = { fail: 0, warn: 1 };
  const told = checks.filter((check) => check.status !== "ok").sort((a, b) => rank[a.status] - rank[b.status]);
  const item = (check) => make("li", { className: check.status }, make("b", {}, `${say(`status_${check.status}`)}: ${check.name}. `), check.message);
  const fine = make("details", {}, make("summary", {}, say("checks_ok", { count: passed })), make("ul", {}, ...checks.filter((check) => check.status === "ok").map(item)));
  byId("checks").replaceChildren(...told.map(item), make("li", {}, fine));
}

function alternatives(rows, gap) {
  const keys = Object.keys(rows[0]);
  const head = make("tr", {}, ...keys.map((key) => make("th", { scope: "col" }, data.numbers[key])));
  const body = rows.map((row) => make("tr", { className: Math.abs(row.saddle_gap_mm - gap) < 1e-9 ? "wanted" : "" }, ...keys.map((key) => make("td", {}, spell(key, row[key])))));
  byId("alternatives").replaceChildren(head, ...body);
}

const draw = latest(async () => {
  const place = byId("drawing");
  try {
    const text = await (await ask("drawing")).text();
    const picture = make("img", { alt: say("side_full"), src: URL.createObjectURL(new Blob([text], { type: "image/svg+xml" })) });
    place.replaceChildren(picture);
    picture.addEventListener("load", () => URL.revokeObjectURL(picture.src));
  } catch { /* the numbers have said what is wrong */ }
});
let resting = 0;
function drawSoon() {
  clearTimeout(resting);
  if (byId("full").open) resting = setTimeout(draw, 350);
}
byId("full").addEventListener("toggle", drawSoon);
