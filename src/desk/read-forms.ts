/** What the desk's forms say: a desk act, or a new hire, or what is wrong with it. Pure. */
import {
  addDays,
  after,
  atWall,
  clockOf,
  dayOf,
  type Instant,
  instantOf,
  knowsZone,
  lastAtWall,
  readLocal,
} from "../calendar.js";
import { Fault } from "../faults.js";
import type { Book } from "../knowledge/book.js";
import type { Aboard, Booking, DeskAct, HireId } from "../post.js";
import type { NewHire } from "./hires/form.js";

export type Form = Readonly<Record<string, unknown>>;
/** A field as it was typed; empty where it did not come. */
export const typed = (form: Form, name: string): string =>
  typeof form[name] === "string" ? form[name] : "";
/** A field without the space around it, at most so many letters. */
export const text = (form: Form, name: string, most = Number.POSITIVE_INFINITY): string =>
  typed(form, name).trim().slice(0, most);

/** All values of a field that may come more than once; those that are empty are left out. */
export const texts = (form: Form, name: string): string[] =>
  [form[name]].flat().filter((v): v is string => typeof v === "string" && v !== "");

/** Further ahead, a clock is one that has just passed, and no time to promise. Set by hand. */
export const aheadHours = 23;
/**
 * The next time that the clock shows this, today or tomorrow; on the autumn's night it may show it a second time.
 * Undefined where it is no clock, or comes only after so many hours: it has just passed.
 */
export function nextClock(clock: string, now: Instant, zone: string): Instant | undefined {
  if (!/^([01]\d|2[0-3]):[0-5]\d$/.test(clock)) return undefined;
  const today = dayOf(now, zone);
  const at = [atWall(today, clock, zone), lastAtWall(today, clock, zone)].find((t) => t > now);
  // A clock that the spring's change skips comes later that day, but only while it is still to come.
  const comes = at !== undefined && (clockOf(at, zone) === clock || clock > clockOf(now, zone));
  const next = comes ? at : atWall(addDays(today, 1), clock, zone);
  return next <= after(now, aheadHours * 60) ? next : undefined;
}

const noTime = `Give a time of the next ${aheadHours} hours as hours and minutes, such as 18:30.`;

/** The act of a form, or a sentence that says what is wrong. `now` and `zone` turn a promised clock into an instant. */
export function readAct(form: Form, now: Instant, zone: string): DeskAct | string {
  const n = Number(text(form, "callout"));
  const callout = Number.isInteger(n) && n > 0 ? n : undefined;
  const of = callout === undefined ? {} : { callout };
  switch (text(form, "do")) {
    case "reply":
      return text(form, "text") === ""
        ? "Write something first."
        : {
            do: "reply",
            text: text(form, "text", 3500),
            ...(text(form, "person") ? { person: text(form, "person") } : {}),
            ...of,
          };
    case "note":
      return text(form, "note") === ""
        ? "Write the note first."
        : { do: "note", note: text(form, "note", 1000), ...of };
    case "not-back":
      return text(form, "sure") === "yes"
        ? { do: "not-back" }
        : "Tick that the van is still with its hirers.";
    case "ask-photos":
      return { do: "ask-photos" };
    default:
      return callout === undefined
        ? "That call-out is not known."
        : readCalloutAct(form, callout, now, zone);
  }
}

/** The act of a form about a call-out, or what is wrong with it. */
function readCalloutAct(form: Form, callout: number, now: Instant, zone: string): DeskAct | string {
  const what = text(form, "do");
  switch (what) {
    case "take":
    case "phone":
    case "heard":
    case "keep":
      return { do: what, callout };
    case "came":
      return { do: "roadside", callout, came: true };
    case "pass": {
      const to = text(form, "to");
      return to ? { do: "pass", callout, to } : "Choose whom to pass it on to.";
    }
    case "promise": {
      const at = nextClock(text(form, "clock"), now, zone);
      return at ? { do: "promise", callout, at } : noTime;
    }
    case "roadside": {
      // What stood there already is no new time, however late the form is sent.
      const given = text(form, "clock");
      const clock = given === text(form, "was") ? "" : given;
      const arrivesAt = clock === "" ? undefined : nextClock(clock, now, zone);
      const reference = text(form, "reference", 40);
      if (clock !== "" && arrivesAt === undefined) return noTime;
      return {
        do: "roadside",
        callout,
        ...(reference ? { reference } : {}),
        ...(arrivesAt === undefined ? {} : { arrivesAt }),
      };
    }
    case "aboard":
      return readAboard(form, callout);
    case "done": {
      const note = text(form, "note", 1000);
      const outcome = text(form, "outcome");
      const to = text(form, "to");
      if (outcome === "") return "Choose how it ended.";
      if (outcome !== "joined" && to !== "")
        return 'To join it to another, choose that as how it ended too; else choose "no other".';
      if (outcome === "other" && note === "") return "Write in words how it ended.";
      if (outcome === "joined" && to === "") return "Choose the call-out that it is joined to.";
      return {
        do: "done",
        callout,
        outcome,
        ...(note ? { note } : {}),
        ...(outcome === "joined" ? { to: Number(to) } : {}),
      };
    }
    default:
      return "That is not known here.";
  }
}

function readAboard(form: Form, callout: number): DeskAct | string {
  const aboard: Aboard = {};
  for (const name of ["people", "childSeats"] as const) {
    const value = text(form, name);
    if (value !== "" && !/^\d{1,2}$/.test(value))
      return "People and child seats: whole numbers, digits only.";
    if (value !== "") aboard[name] = Number(value);
  }
  for (const name of ["pets", "key"] as const) {
    const value = text(form, name, 120);
    if (value !== "") aboard[name] = value;
  }
  return Object.keys(aboard).length > 0
    ? { do: "aboard", callout, aboard }
    : "Fill in at least one field.";
}

const saying = (read: () => Instant): Instant | string => {
  try {
    return read();
  } catch (error) {
    if (error instanceof Fault) return `${error.message}.`;
    throw error;
  }
};

/** A new hire from its form, or what is wrong with each field and what would be right. */
export function readNewHire(
  form: Form,
  book: Book,
  id: string,
): { booking: Booking } | { wrong: Partial<Record<keyof NewHire, string>> } {
  const wrong: Partial<Record<keyof NewHire, string>> = {};
  const needs = (name: keyof NewHire, what: string) => {
    const value = text(form, name);
    if (value === "" || value.length > 80) wrong[name] = what;
    return value;
  };
  const registration = needs(
    "registration",
    "A registration such as SX26 ABC is needed.",
  ).toUpperCase();
  const type = text(form, "type");
  if (!book.vans.has(type)) wrong.type = `One of ${[...book.vans.keys()].join(", ")} is needed.`;
  const zone = text(form, "zone");
  if (!knowsZone(zone))
    wrong.zone = `"${zone}" is no time zone; one such as Europe/London is needed.`;
  const region = text(form, "region");
  if (![...book.regions].some(([key, r]) => key === region || r.nations[region]))
    wrong.region = "Choose a country or nation of the list.";
  const lang = text(form, "lang") || "en";
  if (lang !== "en" && !book.dangersIn.has(lang)) wrong.lang = "Choose a language of the list.";
  const surname = needs("surname", "The surname of the booking is needed.");
  const booker = needs("booker", "The first name of who booked is needed.");
  const time = (name: "pickup" | "return"): Instant => {
    if (!knowsZone(zone)) return instantOf(0);
    const at = saying(() => readLocal(text(form, name), zone));
    if (typeof at === "string") wrong[name] = at;
    return typeof at === "string" ? instantOf(0) : at;
  };
  const pickupAt = time("pickup");
  const returnAt = time("return");
  if (!wrong.pickup && !wrong.return && knowsZone(zone) && returnAt <= pickupAt)
    wrong.return = "The return is not after the pick-up.";
  const phone = text(form, "phone");
  if (phone !== "" && !/^\+?[\d ()-]{5,20}$/.test(phone))
    wrong.phone = "A phone number of digits is needed, such as 07700 900123.";
  if (Object.keys(wrong).length > 0) return { wrong };
  const names = [
    booker,
    ...text(form, "others")
      .split(",")
      .map((n) => n.trim())
      .filter(Boolean)
      .slice(0, 8),
  ];
  return {
    booking: {
      hire: id as HireId,
      van: { registration, type },
      pickupAt,
      returnAt,
      zone,
      region,
      lang,
      surname,
      status: "booked",
      people: names.map((name, i) => ({
        id: `p${i + 1}`,
        name: name.slice(0, 60),
        booker: i === 0,
        ...(i === 0 && phone ? { phone } : {}),
      })),
    },
  };
}
