/** Letting go of what is known of a hire, at its time or on request, as far as nothing stands against it. Pure. */
import type { ArrivalBody } from "../../post.js";
import { isToldBy } from "../../reminders/answer.js";
import { unquoted } from "../../reminders/buttons.js";
import { keptBack, mustStay } from "../../vans/stays.js";
import { toVan } from "../handover/known.js";
import { recordsOf } from "../handover/records.js";
import type { Hire, Person } from "../hire.js";
import type { Turn } from "../turn.js";

type Forget = Extract<ArrivalBody, { kind: "forget" }>;

/** What people wrote, where they were, and by which number or chat they are reached; of one person, or of all. */
function talk(hire: Hire, only?: string): void {
  const concerns = (person: string): boolean => only === undefined || person === only;
  for (const person of [...hire.people, ...hire.booking.people])
    if (concerns(person.id)) delete person.phone;
  for (const person of hire.people)
    if (concerns(person.id)) {
      person.reached = [];
      delete person.lost;
    }
  // Who was taken off the hire has a talk too.
  for (const person of Object.keys(hire.talks)) if (concerns(person)) delete hire.talks[person];
  const theirs = { id: only ?? "", name: hire.people.find((p) => p.id === only)?.name ?? "" };
  for (const reading of hire.readings)
    if (reading.note !== undefined && (only === undefined || isToldBy(reading, theirs)))
      reading.note = unquoted(reading.note);
  for (const one of [hire, ...(hire.vansBefore ?? [])]) {
    delete one.place;
    delete one.placeSaid;
  }
  delete hire.aboard;
  for (const callout of hire.callouts) if (concerns(callout.person)) delete callout.words;
}

function photos(hire: Hire): void {
  for (const record of recordsOf(hire))
    record.photos = record.photos.filter((photo) => photo.mark !== undefined);
}

/** Names of everybody, and what was written down by staff. Times, van, readings and outcomes say nothing of anybody. */
function names(hire: Hire): void {
  const unnamed = (person: Pick<Person, "name">) => {
    person.name = "";
  };
  hire.people.forEach(unnamed);
  hire.booking.people.forEach(unnamed);
  hire.booking.surname = "";
  for (const reading of hire.readings) {
    reading.by = "";
    delete reading.note;
  }
  for (const callout of hire.callouts) delete callout.note;
  for (const record of recordsOf(hire)) {
    record.drivers = [];
    record.photos = [];
    record.reading.by = "";
    delete record.reading.note;
    delete record.remark;
    delete record.hirerRemark;
  }
}

/**
 * Takes out of the hire what goes, and says in `forgets` that its rows go too. What must stay, stays whole: then
 * only the reason is told. The same once more changes nothing.
 */
export function forget(turn: Turn, { by, what, person }: Forget): void {
  const { hire } = turn;
  const why = mustStay(hire, turn.facts.van, turn.facts.vansBefore);
  if (why !== undefined) {
    turn.because.push(keptBack(why));
    return;
  }
  talk(hire, person);
  if (what !== "talk") photos(hire);
  if (what === "hire") names(hire);
  for (const van of [hire.booking.van, ...(hire.vansBefore ?? [])])
    toVan(turn, by, { do: "forget", hire: hire.id, names: what === "hire" }, van);
  turn.forgets = { what, by, ...(person === undefined ? {} : { person }) };
  turn.because.push(`forgotten: ${what}${person === undefined ? "" : ` of ${person}`}`);
}
