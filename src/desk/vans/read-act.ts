/** What a form about a van says: an act, or what is wrong with it. Pure. */

import { type Instant, instantOf, readLocal } from "../../calendar.js";
import { Fault } from "../../faults.js";
import { kmPerMile } from "../../knowledge/measures/units.js";
import { severities } from "../../severity.js";
import type { VanAct } from "../../vans/van.js";
import { type Form, text as textOf, texts } from "../read-forms.js";

/** Steps of making ready that are marked at the board; "out" is the pick-up record. */
const byHand = ["back", "cleaned", "filled", "checked"] as const;

/** No field of these forms needs more. */
const text = (form: Form, name: string, most = 500): string => textOf(form, name, most);

/** A date and a distance by which something falls due, both optional; or what is wrong. */
function dueIn(form: Form): { dueOn?: string; dueKm?: number } | string {
  const dueOn = text(form, "due-on");
  const distance = text(form, "due-at").replace(/[ ,](?=\d{3}\b)/g, "");
  if (dueOn !== "")
    try {
      readLocal(`${dueOn}T12:00`, "UTC");
    } catch (error) {
      if (error instanceof Fault) return `"${dueOn}" is no date; one such as 2026-09-01 is needed.`;
      throw error;
    }
  if (distance !== "" && !/^\d{1,7}$/.test(distance))
    return "Due at: the odometer as a whole number, such as 60,000.";
  const km = Number(distance) * (text(form, "unit") === "km" ? 1 : kmPerMile);
  return {
    ...(dueOn === "" ? {} : { dueOn }),
    ...(distance === "" ? {} : { dueKm: Math.round(km * 10) / 10 }),
  };
}

/** When what stood on the page was last reported. */
function seenIn(form: Form): { seen?: Instant } {
  const ms = text(form, "seen");
  return /^\d{1,15}$/.test(ms) ? { seen: instantOf(Number(ms)) } : {};
}

/** The act of a form, or a sentence that says what is wrong. `odometerKm`: as last read, for a service that is done. */
export function readVanAct(form: Form, odometerKm: number | undefined): VanAct | string {
  const n = Number(text(form, "n"));
  const isNumbered = Number.isInteger(n) && n > 0;
  switch (text(form, "do")) {
    case "release": {
      const reason = text(form, "reason");
      const covers = texts(form, "covers").filter((c) => /^(fault:\d+|return:[\w-]+)$/.test(c));
      if (reason === "") return "Say why the van may go out all the same.";
      return covers.length === 0
        ? "Nothing blocks this van any more."
        : { do: "release", covers, reason, ...seenIn(form) };
    }
    case "clear": {
      const what = text(form, "what");
      if (what === "") return "Say what was done, or what was found.";
      return isNumbered
        ? { do: "clear", fault: n, what, ...seenIn(form) }
        : "That fault is not known.";
    }
    case "note-fault": {
      const title = text(form, "title", 120);
      const severity = severities.find((s) => s === text(form, "severity"));
      if (title === "") return "Say what the fault is.";
      return severity ? { do: "note-fault", title, severity } : "Choose whether the van may move.";
    }
    case "service": {
      const what = text(form, "what", 120);
      const due = dueIn(form);
      if (what === "") return "Say what is to be done, such as oil and filter.";
      if (typeof due === "string") return due;
      if (due.dueOn === undefined && due.dueKm === undefined)
        return "Give a date, an odometer, or both.";
      return { do: "service", what, ...(isNumbered ? { n } : {}), ...due };
    }
    case "service-done": {
      const due = dueIn(form);
      if (typeof due === "string") return due;
      if (!isNumbered) return "That service is not known.";
      if (due.dueOn === undefined && due.dueKm === undefined && text(form, "no-next") === "")
        return "Give the next date, odometer, or both; or tick that it is not due again.";
      return {
        do: "service-done",
        n,
        ...(odometerKm === undefined ? {} : { odometerKm }),
        ...due,
      };
    }
    case "ready": {
      const step = byHand.find((s) => s === text(form, "step"));
      const after = text(form, "after");
      if (!step || !/^[\w-]{0,64}$/.test(after)) return "That step is not known.";
      return { do: "ready", step, after, ...(text(form, "undo") ? { undo: true as const } : {}) };
    }
    case "mended": {
      const photo = text(form, "photo");
      return /^[\w-]{22}$/.test(photo) ? { do: "mended", photo } : "That mark is not known.";
    }
    default:
      return "That is not known here.";
  }
}
