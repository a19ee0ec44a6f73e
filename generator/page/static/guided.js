// From this guitar: a body that exists, measured with a bar, a caliper and a wish; out comes the form's top and target.

import { byId, say } from "./core.js";

const KEYS = ["instrument.top.zero_angle_gap", "instrument.bridge_thickness", "instrument.saddle_projection", "target.action_bass", "target.action_treble"];

byId("guided-use").addEventListener("click", () => {
  const values = { "instrument.top.form": "measured" };
  KEYS.forEach((key, i) => { values[key] = byId(`guided-${i + 1}`).value; });
  dispatchEvent(new CustomEvent("fill", { detail: { values, way: "action" } }));
  byId("guided-done").textContent = say("guided_back");
});
