/** Changes of a booking: what differs, what comes of it, and who else has the van then. Pure. */
import { type Instant, minuteMs } from "../calendar.js";
import type { Booking, BookingChange } from "../post.js";
import { sameJson } from "../same-json.js";
import { oneSlip } from "../spelling.js";

/** Everything of a booking that others may set: what a change is a part of. */
export type Content = Required<BookingChange>;

/** A booking as its content: without the ids of the hire and of its people. */
export const contentOf = (b: Booking): Content => ({
  van: { registration: b.van.registration, type: b.van.type },
  ...{ pickupAt: b.pickupAt, returnAt: b.returnAt, zone: b.zone, region: b.region, lang: b.lang },
  surname: b.surname,
  status: b.status,
  people: b.people.map(({ name, phone }) => ({ name, ...(phone ? { phone } : {}) })),
});

const minute = (at: Instant): number => Math.floor(at / minuteMs);

/**
 * Whether two values of a field say the same: times by the minute, and a phone that is not given is no other one.
 * One that is given empty is taken off.
 */
function says(field: string, last: Content, next: Content): boolean {
  if (field === "pickupAt" || field === "returnAt")
    return minute(last[field]) === minute(next[field]);
  if (field === "people")
    return (
      last.people.length === next.people.length &&
      next.people.every(({ name, phone }, i) => {
        const was = last.people[i];
        return was?.name === name && (phone ?? was.phone ?? "") === (was.phone ?? "");
      })
    );
  const of = (c: Content) => c[field as keyof Content];
  return sameJson(of(last), of(next));
}

/** The fields of `next` that do not say the same as those of `last`. */
export const changeBetween = (last: Content, next: Content): BookingChange =>
  Object.fromEntries(Object.entries(next).filter(([field]) => !says(field, last, next)));

type People = Booking["people"];
/** The number in a person's id; 0 where it has none. */
export const numberIn = (id: string): number => Number(/\d+$/.exec(id)?.[0] ?? 0);
const same = (a: string, b: string): boolean => a.trim().toLowerCase() === b.trim().toLowerCase();

/** One name put right: the longer form of it, or one letter more, less, other or swapped with the next. */
function alike(a: string, b: string): boolean {
  const [x, y] = [a.trim().toLowerCase(), b.trim().toLowerCase()];
  return x.startsWith(y) || y.startsWith(x) || oneSlip(x, y);
}

/**
 * The people of a changed booking. Who has the same name stays the same person, with the channels and the phone
 * that are known, but for a phone that is given empty; so does who stands in the same place under a name put right.
 * Anybody else is new, under a number that nobody had: nobody gets the messages of another. `given`: the highest number
 * that anybody had.
 */
function peopleOf(
  before: People,
  names: NonNullable<BookingChange["people"]>,
  given: number,
): People {
  const free = new Set(before);
  const take = (person: People[number] | undefined) => {
    if (!person || !free.delete(person)) return undefined;
    return person;
  };
  const byName = names.map(({ name }) => take([...free].find((p) => same(p.name, name))));
  const known = byName.map((person, i) => {
    const there = before[i];
    return person ?? (there && alike(there.name, names[i]?.name ?? "") ? take(there) : undefined);
  });
  let last = Math.max(given, ...before.map((p) => numberIn(p.id)));
  return names.map(({ name, phone }, i) => {
    const was = known[i];
    const number = phone ?? was?.phone;
    return {
      id: was?.id ?? `p${++last}`,
      name,
      booker: i === 0,
      ...(number ? { phone: number } : {}),
    };
  });
}

type Named = Content["people"][number];

/** Who of `to` each of `from` is: by name, else under a name put right in the same place. */
const sameIn = (from: readonly Named[], to: readonly Named[]): (Named | undefined)[] =>
  from.map(({ name }, i) => {
    const there = to[i];
    const isFree = there && !from.some((p) => same(p.name, there.name));
    return (
      to.find((p) => same(p.name, name)) ?? (isFree && alike(there.name, name) ? there : undefined)
    );
  });

/** One person: what the program changed of them since it last named them, on what they are now. */
function personOf(now: Named, was: Named, next: Named): Named {
  const phone = next.phone !== undefined && next.phone !== was.phone ? next.phone : now.phone;
  return { name: same(was.name, next.name) ? now.name : next.name, ...(phone ? { phone } : {}) };
}

/**
 * The people whom a program names, held against whom it last named: who was added at the desk stays, who was
 * taken off there does not come back, and only who stands there no more goes. Who books comes first as pushed.
 */
function peoplePushed(
  now: readonly Named[],
  last: readonly Named[],
  next: readonly Named[],
): Named[] {
  const heirs = sameIn(last, next);
  const known = sameIn(now, last);
  const kept = now.flatMap((person, i): Named[] => {
    const was = known[i];
    if (!was) return [person];
    const heir = heirs[last.indexOf(was)];
    return heir ? [personOf(person, was, heir)] : [];
  });
  const isNew = (p: Named) => !heirs.includes(p) && !kept.some((k) => same(k.name, p.name));
  const all = [...kept, ...next.filter(isNew)];
  const [first] = next;
  const leads = (p: Named) => first !== undefined && heirs[0] !== first && same(p.name, first.name);
  return [...all.filter(leads), ...all.filter((p) => !leads(p))];
}

/** A pushed change as it is to be put on a booking; `last`: the people of the push before. */
export const changeOn = (
  booking: Booking,
  change: BookingChange,
  last: readonly Named[],
): BookingChange =>
  change.people ? { ...change, people: peoplePushed(booking.people, last, change.people) } : change;

/**
 * The booking after a change. Undefined where its return would not be after its pick-up, or nobody be on it.
 * `given`: the highest number that a person of this hire ever had, also one who was taken off.
 */
export function changed(booking: Booking, change: BookingChange, given = 0): Booking | undefined {
  const { people, ...rest } = change;
  const after: Booking = {
    ...booking,
    ...rest,
    ...(people ? { people: peopleOf(booking.people, people, given) } : {}),
  };
  return after.returnAt > after.pickupAt && after.people.length > 0 ? after : undefined;
}

/** A new booking of a content. */
export const bookingOf = (hire: Booking["hire"], { people, ...rest }: Content): Booking => ({
  hire,
  ...rest,
  people: peopleOf([], people, 0),
});

/** Another hire of the van. */
export type OtherHire = { id: string; surname: string; pickupAt: Instant; returnAt: Instant };
export type Clash = OtherHire & { how: "overlaps" | "too-close"; leftMin: number };

/** So much time between two hires of one van is usually needed. Common practice, no source. */
const betweenMin = 180;

/** The other hires of its van that a booking overlaps, or leaves too little time to make the van ready. */
export function clashesOf(
  booking: Pick<Booking, "hire" | "pickupAt" | "returnAt" | "status">,
  others: readonly OtherHire[],
): Clash[] {
  if (booking.status === "cancelled") return [];
  return others.flatMap((other): Clash[] => {
    if (other.id === booking.hire) return [];
    const gap = Math.max(other.pickupAt - booking.returnAt, booking.pickupAt - other.returnAt);
    const leftMin = Math.floor(gap / minuteMs);
    if (leftMin >= betweenMin) return [];
    return [{ ...other, how: gap < 0 ? "overlaps" : "too-close", leftMin }];
  });
}
