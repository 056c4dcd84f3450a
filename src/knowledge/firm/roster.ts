/** The shapes of the firm's contacts and roster: in firm.yaml, in the store, and as the desk sends them. */
import { z } from "zod";
import { id, line } from "../shapes.js";

const minutes = z.number().positive();
/** A time of day. */
export const clock = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'a time of day such as "08:30"');
const isDay = (text: string) => z.iso.date().safeParse(text.slice(0, 10)).success;
const day = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}$/, 'a day such as "2026-06-03"')
  .refine(isDay, "no day of the calendar");
/** A local time of the firm, "2026-06-03T08:00", or an instant with its offset. */
const moment = z
  .string()
  .regex(
    /^\d{4}-\d{2}-\d{2}T([01]\d|2[0-3]):[0-5]\d(:[0-5]\d(\.\d+)?)?(Z|[+-][01]\d:[0-5]\d)?$/,
    'a time such as "2026-06-03T08:00"',
  )
  .refine(isDay, "no day of the calendar");
/** From Monday. */
export const weekdays = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"] as const;
const days = z.array(z.enum(weekdays)).min(1);

/** One that ends at or before its start runs into the next day. */
const Span = z.strictObject({ days, from: clock, to: clock });
/** A shift of the weekly pattern; `days` are those on which it starts. */
export const WeeklyShift = z.strictObject({ contact: id, ...Span.shape });
export type WeeklyShift = z.infer<typeof WeeklyShift>;

const named = z.discriminatedUnion("kind", [
  /** On one day, in place of whoever the pattern names for that time; `beside`: together with them. */
  z.strictObject({
    kind: z.literal("shift"),
    contact: id,
    on: day,
    from: clock,
    to: clock,
    beside: z.boolean().default(false),
  }),
  /** Not there from one moment to another; `instead` stands in for what shifts that takes away. */
  z.strictObject({
    kind: z.literal("away"),
    contact: id,
    from: moment,
    to: moment,
    why: z.enum(["sick", "holiday", "went-off", "no-answer", "other"]),
    instead: id.optional(),
  }),
  /** The shifts of `contact` that start on this day are `with`'s; on `back`, the other way round. */
  z.strictObject({
    kind: z.literal("swap"),
    contact: id,
    on: day,
    with: id,
    back: day.optional(),
  }),
]);
/** What differs from the weekly pattern; without a `kind` it is a shift on one day. */
export const Exception = z.preprocess(
  (raw) => (typeof raw === "object" && raw && !("kind" in raw) ? { kind: "shift", ...raw } : raw),
  named,
);
export type Exception = z.infer<typeof Exception>;

export const Roster = z.strictObject({
  weekly: z.array(WeeklyShift),
  exceptions: z.array(Exception).default([]),
  /** Alerted when the roster has a gap. */
  fallback: id,
});
export type Roster = z.infer<typeof Roster>;

export const Contact = z.strictObject({
  name: line,
  /** What a hirer is told before somebody took the matter, while this one is not on duty: "the owner". */
  role: line,
  kind: z.enum(["staff", "roadside"]),
  phone: line,
  /** Telegram chat id, filled in by the environment or at the desk; never in the file of a real firm. */
  telegram: z.string().optional(),
  hook: z.boolean().default(false),
  desk: z.boolean().default(false),
  /** When they may be alerted besides their shifts; empty: always. A danger alerts everybody at any hour. */
  hours: z.array(Span).default([]),
});
export type Contact = z.infer<typeof Contact>;

/** What the desk may change of a contact; an empty `telegram` takes the chat away, without one it stays as it is. */
export const ContactChange = z.strictObject({
  role: line,
  phone: line,
  telegram: z
    .string()
    .regex(/^\d{0,20}$/, "the number of a Telegram chat, or nothing")
    .optional(),
  hours: Contact.shape.hours,
});
export type ContactChange = z.infer<typeof ContactChange>;

const order = z.array(id).min(1);
/** Who is tried, in order; "duty" stands for whoever is on the roster. `kinds` go before the severity's own. */
export const CallOrders = z.strictObject({
  danger: order,
  stop: order,
  soon: order,
  person: order,
  kinds: z
    .partialRecord(
      z.enum(["light", "fault", "reading"]),
      z.strictObject({
        stop: order.optional(),
        soon: order.optional(),
        note: order.optional(),
      }),
    )
    .default({}),
});

/** How a shift starts and ends. */
export const ShiftRules = z.strictObject({
  /** A test alert must be answered within so many minutes; then `tell` are told, and again every `againMin`. */
  answerMin: minutes,
  againMin: minutes,
  /** "previous": who was on before · "next": the next of the call order for a stop · or a contact. */
  tell: z.array(id).min(1),
  /** Minutes between two reminders of a matter that the next person has not accepted. */
  handOverMin: minutes,
});
