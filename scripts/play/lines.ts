/** The lines of a script for `talk`: what they may hold, and what they mean. */
import { z } from "zod";
import { addDays, after, atWall, dayOf, type Instant, readIso } from "../../src/calendar.js";
import type { ArrivalBody, DeskAct } from "../../src/post.js";
import { ScriptHire, ScriptReading, vanDos } from "./hires.js";
import { shiftDos } from "./shifts.js";

export const names = z.array(z.string()).min(1).optional();
const dos = [
  "take",
  "pass",
  "promise",
  "done",
  "note",
  "phone",
  "heard",
  "keep",
  "roadside",
  "came",
  "restart",
] as const;
export const Line = z.strictObject({
  at: z.string(),
  from: z
    .string()
    .regex(/^(hirer(:.+)?|duty:.+|unknown)$/, '"hirer", "hirer:NAME", "duty:NAME" or "unknown"')
    .optional(),
  text: z.string().optional(),
  /** The words are those of a message that was changed. */
  edited: z.boolean().optional(),
  tap: z.string().optional(),
  /** Words of a hirer by text message in place of the web chat. */
  by: z.literal("text").optional(),
  photo: z.unknown().optional(),
  /** What cannot be read: "voice message", "sticker". */
  unreadable: z.string().optional(),
  location: z.tuple([z.number(), z.number()]).optional(),
  writtenAt: z.string().optional(),
  duty: z.string().optional(),
  do: z.enum([...dos, ...shiftDos, ...vanDos]).optional(),
  /** A further hire, mostly of the same van: what follows is of its people. */
  hire: ScriptHire.optional(),
  people: names,
  /** The booking is changed: another van, another return. */
  change: z
    .strictObject({ van: z.string(), vanType: z.string(), return: z.string() })
    .partial()
    .optional(),
  /** With "clear": which fault of the van. */
  fault: z.number().int().optional(),
  /** With "pickup-record" and "return-record". */
  reading: ScriptReading.optional(),
  callout: z.number().int().optional(),
  /** A contact, a time, or with the outcome "joined" a call-out's number. */
  to: z.string().optional(),
  outcome: z.string().optional(),
  note: z.string().optional(),
  reference: z.string().optional(),
});
export type Line = z.output<typeof Line>;

type Button = { tap: string; label: string };

/** The latest button of that label or id. */
export const buttonIn = (shown: readonly Button[], tap: string): Button | undefined =>
  shown.find((b) => b.label.toLowerCase() === tap.toLowerCase() || b.tap === tap);

/** What a hirer did in this line; a tap is named by its label or its id. */
export function hirerBody(
  line: Line,
  from: Extract<ArrivalBody, { kind: "said" }>["from"],
  shown: readonly Button[],
): ArrivalBody {
  if (line.tap !== undefined)
    return { kind: "tapped", from, tap: buttonIn(shown, line.tap)?.tap ?? line.tap };
  if (line.location) return { kind: "located", from, lat: line.location[0], lon: line.location[1] };
  if (line.unreadable !== undefined)
    return { kind: "unreadable", from, what: line.unreadable, file: { id: "file", kind: "file" } };
  if (line.photo !== undefined && line.photo !== false)
    return {
      kind: "photo",
      from,
      file: { id: "photo", kind: "image/jpeg" },
      ...(line.text ? { caption: line.text } : {}),
    };
  return {
    kind: "said",
    from,
    text: line.text ?? "",
    ...(line.edited ? { edited: true } : {}),
  };
}

/** A time: an instant, a local clock ("18:30", today or tomorrow), else undefined. */
function timeIn(text: string, now: Instant, zone: string): Instant | undefined {
  if (/^\d{2}:\d{2}$/.test(text)) {
    const today = atWall(dayOf(now, zone), text, zone);
    return today > now ? today : atWall(addDays(dayOf(now, zone), 1), text, zone);
  }
  return /^\d{4}-/.test(text) ? readIso(text) : undefined;
}

/** What staff did in this line. `contact` finds a contact by name; a promise without a time is half an hour. */
export function deskAct(
  line: Line,
  callout: number,
  by: { contact: (name: string) => string; now: Instant; zone: string },
): DeskAct {
  const { contact, now, zone } = by;
  const to = line.to ?? "";
  switch (line.do) {
    case "pass":
      return { do: "pass", callout, to: contact(to) };
    case "promise": {
      const at = timeIn(to || (line.note ?? ""), now, zone);
      return { do: "promise", callout, at: at ?? after(now, 30) };
    }
    case "done":
      return {
        do: "done",
        callout,
        outcome: line.outcome ?? "other",
        ...(line.note ? { note: line.note } : {}),
        ...(/^\d+$/.test(to) ? { to: Number(to) } : {}),
      };
    case "note":
      return { do: "note", callout, note: line.note ?? "" };
    case "roadside": {
      const arrivesAt = timeIn(to, now, zone);
      return {
        do: "roadside",
        callout,
        ...(line.reference ? { reference: line.reference } : {}),
        ...(arrivesAt === undefined ? {} : { arrivesAt }),
      };
    }
    case "came":
      return { do: "roadside", callout, came: true };
    case "phone":
    case "heard":
    case "keep":
      return { do: line.do, callout };
    default:
      return { do: "take", callout };
  }
}
