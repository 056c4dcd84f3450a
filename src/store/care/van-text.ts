/** What happened to a van, as its trip log tells it. */
import type { VanAct } from "../../vans/van.js";

const due = ({ dueOn, dueKm }: { dueOn?: string; dueKm?: number }): string =>
  [dueOn && `by ${dueOn}`, dueKm !== undefined && `at ${Math.round(dueKm)} km`]
    .filter(Boolean)
    .join(" or ");

/** One act in words. */
export function vanText(act: VanAct): string {
  switch (act.do) {
    case "reported":
      // The fault itself has their words, and lets go of them with the hire.
      return `reports ${act.title} (${act.severity})`;
    case "note-fault":
      return `notes a fault: ${act.title} (${act.severity})`;
    case "clear":
      return `clears fault ${act.fault}: ${act.what}`;
    case "release":
      return `releases the van (${act.covers.join(", ")}): ${act.reason}`;
    case "service":
      return `sets service: ${act.what} ${due(act)}`;
    case "service-done":
      return `service ${act.n} done${due(act) ? `, next ${due(act)}` : ""}`;
    case "mended":
      return "says that a mark is mended";
    case "ready":
      return `${act.undo ? "not done after all" : "done"}: ${act.step === "filled" ? "fluids and gas" : act.step}`;
    case "given-up":
      return "given up on the road";
    case "forget":
      return "lets go of what hirers wrote";
    default:
      return act satisfies never;
  }
}
