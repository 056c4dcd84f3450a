/** What the forms of the roster page say: a change of the roster or of a contact, or what is wrong. Pure. */
import { z } from "zod";
import {
  ContactChange,
  Exception,
  Roster,
  WeeklyShift,
  weekdays,
} from "../../knowledge/firm/roster.js";
import type { RosterOp } from "../../roster/change.js";
import { type Form, text } from "../read-forms.js";

/** Ticked boxes of one name: one comes as text, several as a list. */
const ticked = (form: Form, name: string): string[] => {
  const value = form[name];
  return (Array.isArray(value) ? value : [value]).filter((v): v is string => typeof v === "string");
};

/** Rows of days and times, as the form has them: typed as they came, so that nothing typed is lost. */
export type Row = { contact: string; days: string[]; from: string; to: string };
export const rowsMost = 24;

/** The rows of the form that hold anything. */
export function rowsOf(form: Form): Row[] {
  const rows: Row[] = [];
  for (let i = 0; i < rowsMost; i++) {
    const days = ticked(form, `days-${i}`).filter((d) => weekdays.some((w) => w === d));
    const row = {
      contact: text(form, `contact-${i}`),
      days,
      from: text(form, `from-${i}`),
      to: text(form, `to-${i}`),
    };
    if (days.length > 0 || row.from !== "" || row.to !== "") rows.push(row);
  }
  return rows;
}

/** What is wrong with a row; undefined where nothing is, or where it is meant to go (no day ticked). */
function rowWrong(row: Row, n: number): string | undefined {
  if (row.days.length === 0) return undefined;
  const clock = /^([01]\d|2[0-3]):[0-5]\d$/;
  if (!clock.test(row.from) || !clock.test(row.to))
    return `Row ${n}: give both times as hours and minutes, such as 08:00 and 20:00.`;
  return undefined;
}

const Op: z.ZodType<RosterOp> = z.discriminatedUnion("op", [
  z.strictObject({
    op: z.literal("weekly"),
    weekly: z.array(WeeklyShift),
    fallback: Roster.shape.fallback,
  }),
  z.strictObject({ op: z.literal("add"), exception: Exception }),
  z.strictObject({ op: z.literal("remove"), exception: Exception }),
]);

/** Where a value of an exception comes from in its form, for words about what is wrong. */
const fieldNames: Record<string, string> = {
  contact: "who",
  on: "the day",
  from: "the start",
  to: "the end",
  with: "the other person",
  back: "the day given back",
  instead: "who stands in",
};

function exceptionOf(form: Form): unknown {
  const optional = (name: string) => (text(form, name) === "" ? {} : { [name]: text(form, name) });
  const contact = text(form, "contact");
  switch (text(form, "kind")) {
    case "shift":
      return {
        kind: "shift",
        contact,
        on: text(form, "on"),
        from: text(form, "from"),
        to: text(form, "to"),
        beside: text(form, "beside") === "yes",
      };
    case "away":
      return {
        kind: "away",
        contact,
        from: text(form, "from"),
        to: text(form, "to"),
        why: text(form, "why"),
        ...optional("instead"),
      };
    default:
      return {
        kind: "swap",
        contact,
        on: text(form, "on"),
        with: text(form, "with"),
        ...optional("back"),
      };
  }
}

/** The change that a form asks for, or a sentence that says what is wrong with it. */
export function readOp(form: Form): RosterOp | string {
  const op = text(form, "op");
  // A change that was looked at comes back as it was.
  if (op === "kept") {
    try {
      const read = Op.safeParse(JSON.parse(text(form, "change")));
      return read.success ? read.data : "That change could not be read. Please make it once more.";
    } catch {
      return "That change could not be read. Please make it once more.";
    }
  }
  if (op === "weekly") {
    const rows = rowsOf(form);
    const wrong = rows.map((row, i) => rowWrong(row, i + 1)).find((w) => w !== undefined);
    if (wrong) return wrong;
    const weekly = rows
      .filter((row) => row.days.length > 0)
      .map((row) => ({ ...row, days: weekdays.filter((d) => row.days.includes(d)) }));
    const read = Op.safeParse({ op, weekly, fallback: text(form, "fallback") });
    return read.success ? read.data : "Choose a name of the list in every row.";
  }
  if (op !== "add") return "That is not known here.";
  const read = Exception.safeParse(exceptionOf(form));
  if (read.success) return { op, exception: read.data };
  const [issue] = read.error.issues;
  const field = fieldNames[String(issue?.path[0])] ?? "a field";
  return `Something is missing or wrong: ${field} (${issue?.message ?? "unreadable"}).`;
}

type Hours = ContactChange["hours"];
type Touched = { [K in keyof ContactChange]?: ContactChange[K] | undefined };

/** Hours as one text, to tell whether those of a form are the ones that it showed. */
export const hoursKey = (hours: Hours): string =>
  JSON.stringify(
    hours.map(({ days, from, to }) => [weekdays.filter((d) => days.includes(d)), from, to]),
  );

/** The hours of a contact's form: its rows with a day ticked. */
const hoursIn = (form: Form): Hours =>
  rowsOf(form)
    .filter((row) => row.days.length > 0)
    .map(({ days, from, to }) => ({ days: weekdays.filter((d) => days.includes(d)), from, to }));

/** Whether a field of a contact's form still holds what the form was made with. */
export function asShown(form: Form, name: "role" | "phone" | "telegram" | "hours"): boolean {
  const value = name === "hours" ? hoursKey(hoursIn(form)) : text(form, name);
  return form[`${name}-was`] !== undefined && value === text(form, `${name}-was`, 4000);
}

/** The change of a contact that its form asks for, only what differs from what it showed, or what is wrong with it. */
export function readContact(form: Form): Touched | string {
  const phone = text(form, "phone");
  if (!/^\+?[\d ()-]{5,20}$/.test(phone)) return "Phone: digits are needed, such as 07700 900123.";
  if (text(form, "role") === "" || text(form, "role").length > 60)
    return 'Role: a few words are needed, such as "the owner"; hirers read them.';
  const telegram = text(form, "telegram");
  if (!/^\d{0,20}$/.test(telegram)) return "Telegram chat: a number is needed, or nothing.";
  const rows = rowsOf(form);
  const wrong = rows.map((row, i) => rowWrong(row, i + 1)).find((w) => w !== undefined);
  if (wrong) return wrong;
  // A chat as it was shown may be the environment's: that goes on counting.
  const hours = hoursIn(form);
  const read = ContactChange.safeParse({ role: text(form, "role"), phone, telegram, hours });
  if (!read.success) return "That could not be read.";
  const { data } = read;
  // Only the form of staff has these two.
  const hasChat = form["telegram"] !== undefined;
  const hasHours = form["hours-was"] !== undefined || rows.length > 0;
  return {
    ...(asShown(form, "role") ? {} : { role: data.role }),
    ...(asShown(form, "phone") ? {} : { phone: data.phone }),
    ...(!hasChat || asShown(form, "telegram") ? {} : { telegram: data.telegram }),
    ...(!hasHours || asShown(form, "hours") ? {} : { hours: data.hours }),
  };
}
