/** What the form of a telephone call says: an act, or a sentence that says what is wrong. Pure. */
import type { Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import type { DeskAct } from "../../post.js";
import { severities } from "../../severity.js";
import { aheadHours, type Form, nextClock, text } from "../read-forms.js";

/** `now` and `zone` turn a promised clock into an instant: the next time that the clock shows it. */
export function readCall(
  form: Form,
  hire: Hire,
  now: Instant,
  zone: string,
): Extract<DeskAct, { do: "call" }> | string {
  const about = text(form, "about", 900);
  if (about === "") return "Write what it was about.";
  const person = hire.people.find((p) => p.id === text(form, "person", 20));
  const other = text(form, "who", 60);
  if (person && other !== "")
    return `Who rang: ${person.name} or ${other}? Choose “somebody else”, or take out the name below.`;
  const who = person?.name ?? other;
  if (who === "") return "Write who rang, where it was nobody of the hire.";
  const said = { do: "call" as const, about, who, ...(person ? { person: person.id } : {}) };
  const severity = severities.find((s) => s === text(form, "severity", 10));
  switch (text(form, "outcome", 20)) {
    case "answered":
      // Whoever says how bad it is wants more than a line in the trip log.
      return severity === undefined || severity === "note"
        ? { ...said, outcome: "answered" }
        : "Not kept yet: nobody would see to a van of which you say that it may not move as before. Choose “I ring back” or “somebody must see to it”; or that it may move.";
    case "ring": {
      const clock = text(form, "clock", 5);
      const ringAt = nextClock(clock, now, zone);
      if (!ringAt)
        return `Give the time by which you ring back, within the next ${aheadHours} hours, such as 18:30.`;
      return {
        ...said,
        outcome: `rings back by ${clock}`,
        // In danger the others are alerted as well, whoever rings back.
        opens: { severity: severity ?? "note", mine: severity !== "danger", ringAt },
      };
    }
    case "matter": {
      if (!severity) return "Choose whether the van may move.";
      const mine = text(form, "mine", 1) !== "" && severity !== "danger";
      return {
        ...said,
        outcome: mine ? "sees to it" : "put to staff",
        opens: { severity, mine },
      };
    }
    default:
      return "Choose how it ended.";
  }
}
