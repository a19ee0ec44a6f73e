// From this guitar: a body that exists, measured with a bar, a caliper and a wish; out comes the form's top and target.

import { ask, byId, Refused, say, showFaults } from "./core.js";
import { spell } from "./numbers.js";

let used = false;
byId("guided-use").addEventListener("click", async () => {
  const readings = Object.fromEntries([...document.querySelectorAll("[data-guided]")].map((field) => [field.dataset.guided, field.value]));
  try {
    const values = await (await ask("guided", { readings })).json();
    showFaults(byId("guided-fault"), []);
    used = true;
    dispatchEvent(new CustomEvent("fill", { detail: { values, way: "action" } }));
  } catch (error) {
    if (error instanceof Refused) showFaults(byId("guided-fault"), error.errors);
  }
});
addEventListener("numbers", (event) => {
  if (!used) return;
  const set = event.detail.neck_set;
  byId("guided-done").textContent = say("guided_back", { gap: spell("saddle_gap_mm", set.saddle_gap_mm), angle: spell("set_angle_deg", set.set_angle_deg) });
});
