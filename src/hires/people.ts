/** Who is on a hire: a booking made or changed, a person joining on a channel. Pure. */

import { changed, changeOn, numberIn } from "../bookings/change.js";
import { isOut, putsRight, swapsOut } from "../bookings/out.js";
import { after, type Instant, instantOf } from "../calendar.js";
import { givenUp } from "../callouts/steps.js";
import { homeCode } from "../knowledge/book.js";
import { fill } from "../knowledge/placeholders.js";
import { e164, numbersIn } from "../phone.js";
import type { Address, ArrivalBody, Booking, BookingChange } from "../post.js";
import { buttonsFor } from "../reminders/buttons.js";
import { wordsFor } from "../reminders/plan.js";
import { sameJson } from "../same-json.js";
import { dropChecks } from "./callouts/questions.js";
import { hearFrom } from "./callouts/silence.js";
import { speaksFor, triedFor } from "./callouts/told.js";
import { noticesAnew } from "./care/notices.js";
import { closeAll, followAnew } from "./care/replies.js";
import { cancelledOutside, tasksOver } from "./care/tasks.js";
import { arrivalAskedNoMore, replan } from "./care.js";
import { tellKnownFaults, toVan } from "./handover/known.js";
import { recordsOf } from "./handover/records.js";
import { lastPlace, placesOf } from "./heard/last.js";
import type { Hire, Person } from "./hire.js";
import {
  line,
  nameOf,
  numberOf,
  openCallouts,
  put,
  sameWay,
  speakAnew,
  type Turn,
  tell,
  tellAll,
  tellContact,
} from "./turn.js";

/** A hire from its first booking. */
export function newHire(booking: Booking): Hire {
  return {
    id: booking.hire,
    booking,
    people: booking.people.map((p) => ({ ...p, reached: [], greeted: false })),
    talks: {},
    callouts: [],
    readings: booking.readings ?? [],
    sentReminders: (booking.sent ?? []).map(({ rule, due }) => ({
      key: `${rule}@${due}`,
      rule,
      due,
      sentAt: due,
      answered: true,
      asked: 1,
    })),
    planned: 0,
  };
}

/** The highest number in the id of anybody who was ever on the hire, as far as it still knows of them. */
const givenOn = ({ peopleGiven = 0, people, talks, callouts }: Hire): number =>
  Math.max(
    peopleGiven,
    ...people.map((p) => numberIn(p.id)),
    ...Object.keys(talks).map(numberIn),
    ...callouts.map((c) => numberIn(c.person)),
  );

/**
 * A changed booking: people keep their channels, what was sent stays sent, reminders are planned anew. `says`: whoever
 * changed it says that its registration was written wrong.
 */
export function booked(turn: Turn, booking: Booking, says = false): void {
  const known = new Map(turn.hire.people.map((p) => [p.id, p]));
  const code = homeCode(turn.facts.book);
  const given = givenOn(turn.hire);
  turn.hire.people = booking.people.map((p): Person => {
    const before = known.get(p.id);
    // A phone that the booking has no more is nobody's.
    const { phone: _before, ...same } = before
      ? unlessPutRight(before, p.phone ?? "", code)
      : { reached: [], greeted: false };
    return { ...same, ...p };
  });
  // Nobody who comes later gets the id, and so the talk, of somebody who was taken off.
  if (booking.people.every((p) => numberIn(p.id) < given)) turn.hire.peopleGiven = given;
  takenOff(turn, known);
  renamed(turn.hire, known);
  const before = turn.hire.booking;
  const isRight = putsRight(turn.hire, booking, says);
  const isSwap = !isRight && swapsOut(turn.hire, booking, turn.now);
  if (isRight) plateRight(turn, booking.van.registration);
  turn.hire.booking = booking;
  // What they said of another return says nothing of this one.
  if (booking.returnAt !== before.returnAt) {
    if (!turn.hire.arrival?.isBack) delete turn.hire.arrival;
    arrivalAskedNoMore(turn);
  }
  speakAnew(turn);
  if (isSwap) swapped(turn, before);
  else if (isRight && isOut(turn.hire, turn.now)) tellKnownFaults(turn);
  if (booking.status === "cancelled") tasksOver(turn, "the hire is over");
  followAnew(turn);
  noticesAnew(turn);
  replan(turn);
  turn.because.push(booking.status === "cancelled" ? "hire cancelled" : "hire booked");
}

/** Nobody is reached any more by a number that the booking had and has no longer: it may never have been theirs. */
function unlessPutRight(person: Person, phone: string, code: string): Person {
  const now = numbersOf(phone, code);
  const gone = numbersOf(person.phone, code).filter((n) => !now.includes(n));
  if (gone.length === 0) return person;
  const { texted: _other, lost = [], ...rest } = person;
  const stays = (a: Address) => a.channel !== "gateway" || !gone.includes(a.to);
  return {
    ...rest,
    reached: person.reached.filter(stays),
    lost: lost.filter(({ way }) => stays(way)),
  };
}

/** The numbers in a field, in international form. */
const numbersOf = (phone = "", code: string): string[] =>
  numbersIn(phone).flatMap((n) => e164(n, code) ?? []);

/** Who was taken off the hire hears no more of a matter that nobody else of it may hear of: staff are told. */
function takenOff(turn: Turn, before: ReadonlyMap<string, Person>): void {
  for (const c of openCallouts(turn.hire)) {
    const gone = before.get(c.person);
    if (!gone || speaksFor(turn.hire, c)) continue;
    const { name, phone } = gone;
    put(turn, { ...c, left: { name, ...(phone ? { phone } : {}) } });
    const text = `${name} was taken off the hire of ${turn.hire.booking.van.registration}. "${c.title}" stays open: it is ${name}'s alone, so nobody of the hire hears of it. Their number: ${phone ?? "not known"}.`;
    const how = { callout: c.n, severity: c.severity, safety: true } as const;
    const told = new Set([...(c.with ? [c.with] : []), ...triedFor(c)]);
    for (const id of told) tellContact(turn, id, { text }, how);
    turn.because.push(`call-out ${c.n}: who raised it was taken off the hire`);
  }
}

/** A name put right is put right, too, where something is kept by it: the readings and the drivers of the records. */
function renamed(hire: Hire, before: ReadonlyMap<string, Person>): void {
  const names = new Map<string, string>();
  for (const { id, name } of hire.people) {
    const was = before.get(id)?.name;
    if (!was || was === name) continue;
    for (const reading of hire.readings) if (reading.person === id) reading.by = name;
    // Of two with one name it does not say whose it is.
    if ([...before.values()].filter((p) => p.name === was).length === 1) names.set(was, name);
  }
  const records = recordsOf(hire);
  for (const record of records) record.drivers = record.drivers.map((d) => names.get(d) ?? d);
  for (const reading of hire.readings) {
    const isStaffs = records.some(
      (r) => r.reading.at === reading.at && r.reading.by === reading.by,
    );
    if (reading.person === undefined && !isStaffs) reading.by = names.get(reading.by) ?? reading.by;
  }
}

/** What of a change is done: a program, which cannot see the road, cancels no hire whose van is out, but has staff ring. */
export function onTheRoad(
  turn: Turn,
  { by, change, pushed }: Extract<ArrivalBody, { kind: "changed" }>,
): BookingChange {
  if (!pushed) return change;
  const { status, ...rest } = changeOn(turn.hire.booking, change, pushed.people);
  if (status === undefined) return rest;
  if (status !== "cancelled" || !isOut(turn.hire, turn.now)) return { ...rest, status };
  cancelledOutside(turn, nameOf(turn, by));
  return rest;
}

/** Part of a booking was changed: put on the booking as it is now, so of two changes none undoes the other. */
export function rebooked(turn: Turn, change: BookingChange, says = false): void {
  const booking = changed(turn.hire.booking, change, givenOn(turn.hire));
  if (!booking) turn.because.push("ignored: the return is not after the pick-up");
  else if (sameJson(booking, turn.hire.booking)) turn.because.push("nothing changed");
  else booked(turn, booking, says);
}

/** The records of the van are of the one that it was all the time. */
function plateRight({ hire, because }: Turn, registration: string): void {
  const was = hire.booking.van.registration;
  const earlier = (hire.vansBefore ?? []).filter((van) => van.registration === was);
  for (const van of earlier) van.registration = registration;
  for (const record of recordsOf(hire))
    if (record.registration === was) record.registration = registration;
  because.push("the van's registration was put right");
}

/** Another van for one that is out: what was read of the first says nothing of it, and its safety points are its own. */
function swapped(turn: Turn, { van, surname, pickupAt }: Booking): void {
  const from = turn.hire.vanSince ?? instantOf(Math.min(pickupAt, turn.now));
  // It is read on other days too: with a later day for now, each time is told with its own.
  const place = lastPlace(turn.hire, after(turn.now, 24 * 60), turn.facts.book.firm.zone);
  const where = place === undefined ? {} : { place };
  toVan(turn, "", { do: "given-up", hire: turn.hire.id, surname, from, ...where }, van);
  const { pickup, vansBefore = [] } = turn.hire;
  // The record goes with its van: the new one has none yet.
  const record = pickup?.registration === van.registration ? { pickup } : {};
  turn.hire.vansBefore = [
    ...vansBefore,
    { ...van, until: turn.now, ...record, ...placesOf(turn.hire) },
  ];
  delete turn.hire.pickup;
  turn.hire.vanSince = turn.now;
  turn.hire.callouts = turn.hire.callouts.map((c) => givenUp(c, van));
  dropChecks(turn);
  for (const c of turn.hire.callouts) if (c.van) hearFrom(turn, c.n);
  closeAll(turn, "the van was swapped");
  const { reminders } = turn.facts.book;
  const { welcome } = reminders.rules;
  const { registration } = turn.hire.booking.van;
  const { text = "", wants = [] } = welcome ? wordsFor(welcome, turn.van.has) : {};
  const essentials = fill(text, turn.voice.values);
  tellAll(turn, {
    text: `${line(turn, "van-swapped", { registration })}\n${essentials}`,
    buttons: buttonsFor(wants, reminders),
  });
  tellKnownFaults(turn);
  turn.because.push("van swapped");
}

/** Remembers by which channel a person reads, as something came from there at `at`; the latest used comes first. */
export function reaches(person: Person, via: Address, at: Instant): void {
  const others = person.reached.filter((a) => !sameWay(a, via));
  person.reached = [via, ...others].slice(0, 4);
  if (person.lost) person.lost = person.lost.filter(({ way }) => !sameWay(way, via));
  if (via.channel === "web") person.onPageAt = at;
}

/** A person's link was made anew: of the ways to reach them their page stays, and their number in the booking. */
export function relinked(turn: Turn, id: string): void {
  const person = turn.hire.people.find((p) => p.id === id);
  if (!person) {
    turn.because.push("ignored: a link of somebody who is not on the hire");
    return;
  }
  const own = numberOf(turn, person);
  person.reached = person.reached.filter((a) => a.channel === "web" || a.to === own);
  turn.because.push("link made anew");
}

/** A person opened their link on a channel. */
export function joined(turn: Turn, person: Person): void {
  const text = line(turn, "joined", {
    registration: turn.hire.booking.van.registration,
    name: person.name,
  });
  const greeting = person.greeted ? "" : `\n${line(turn, "greeting")}`;
  person.greeted = true;
  tell(turn, person, { text: text + greeting });
  turn.because.push("joined");
}
