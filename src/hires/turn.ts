/** One turn of a hire: a working copy of its state, and what it collects to send, to set and to explain. Pure. */
import { type Instant, minuteMs, sayTime } from "../calendar.js";
import type { Callout } from "../callouts/callout.js";
import { isSecret } from "../callouts/whose.js";
import type { VanType } from "../knowledge/placeholders.js";
import { e164 } from "../phone.js";
import type { Address, Arrival, Booking, Due, Matter, Message, Reason, Send } from "../post.js";
import { nameIn, sendsTo } from "../roster/reach.js";
import type { Severity } from "../severity.js";
import { phrase, type Voice, voiceFor } from "../wording/say.js";
import type { Facts, Hire, Person, Step, Talk } from "./hire.js";

export type Turn = {
  hire: Hire;
  arrival: Arrival;
  facts: Facts;
  now: Instant;
  voice: Voice;
  van: VanType;
  sends: Send[];
  dues: Due[];
  because: Reason[];
  posts: Arrival[];
  forgets?: NonNullable<Step["forgets"]>;
};

/** Opens a turn on a copy of the hire: what the turn changes never reaches the state that came in. */
export function begin(hire: Hire, arrival: Arrival, facts: Facts): Turn {
  const own = structuredClone(hire);
  const voice = voiceFor(facts.book, own.booking.van.type, own.booking.region, own.booking.lang);
  return {
    hire: own,
    arrival,
    facts,
    now: facts.now,
    voice,
    van: voice.van,
    sends: [],
    dues: [],
    because: [],
    posts: [],
  };
}

/** Speaks from here on for the van and place that the booking names now. */
export function speakAnew(turn: Turn): void {
  const { van, region, lang } = turn.hire.booking;
  turn.voice = voiceFor(turn.facts.book, van.type, region, lang);
  turn.van = turn.voice.van;
}

/** The person of the hire with this id; else the booker; else the first one. */
export function personOf(hire: Pick<Hire, "people">, id: string | undefined): Person | undefined {
  return (
    hire.people.find((p) => p.id === id) ?? hire.people.find((p) => p.booker) ?? hire.people[0]
  );
}

/** Who is reminded: the booker, for whom it stands on their page; while they read nowhere, whoever does is told first. */
export function reminded(hire: Pick<Hire, "people">): Person[] {
  const booker = personOf(hire, undefined);
  const unread = booker?.reached.length === 0;
  const reader = unread ? hire.people.find((p) => p.reached.length > 0) : undefined;
  return [reader, booker].filter((p) => p !== undefined);
}

/** Where a person stands; made on first use. */
export function talkOf(turn: Turn, person: string): Talk {
  const talk = turn.hire.talks[person] ?? { lastEntries: [] };
  turn.hire.talks[person] = talk;
  return talk;
}

/** A later question is on the screen: what is written answers no older one. */
export function overtake(talk: Talk, now: Instant): void {
  talk.askedAt = now;
  if (talk.doubt) talk.doubt.overtaken = true;
  delete talk.roadsideAsked;
}

/** So long before a question words may have been written and still answer it: phones' clocks differ. */
const clockMs = 2 * minuteMs;

/** Whether what arrives was written before something was asked, by a phone that had no signal: it answers nothing of that. */
export const wroteBefore = ({ arrival }: Turn, askedAt: Instant | undefined): boolean =>
  arrival.writtenAt !== undefined && askedAt !== undefined && arrival.writtenAt < askedAt - clockMs;

/** Something else is asked: a number names no light on the sheet any more, nor takes one back. */
export function sheetOver(talk: Talk): void {
  delete talk.sheet;
  delete talk.namedAt;
}

/** Staff have written: what is written next is for them, unless it says itself what else it answers. */
export function staffWrote(talk: Talk, now: Instant): void {
  overtake(talk, now);
  delete talk.offered;
  sheetOver(talk);
  delete talk.sum;
  talk.staffSpoke = true;
  talk.staffLast = true;
}

/** Buttons are on the screen, by text as numbers: a bare number is one of them, and answers nothing older. */
function numbered(talk: Talk | undefined): void {
  if (!talk) return;
  if (talk.sum) talk.sum.overtaken = true;
  delete talk.staffLast;
}

/** Remembers what was told, for "and the other one?" */
export function remember(turn: Turn, person: string, entries: readonly string[]): void {
  const talk = talkOf(turn, person);
  talk.lastEntries = [...new Set([...entries, ...talk.lastEntries])].slice(0, 4);
  if (talk.told) talk.told.overtaken = true;
}

type How = {
  safety?: boolean;
  severity?: Severity;
  callout?: number;
  everywhere?: boolean;
  /** To staff: act now. */
  ring?: boolean;
  /** To staff: the person whose words these are. */
  about?: string;
  /** After it nothing is said of this any more. */
  until?: Instant;
};
const marks = (how: How) => ({
  safety: how.safety ?? false,
  ...(how.callout === undefined ? {} : { callout: how.callout }),
  ...(how.severity === undefined ? {} : { severity: how.severity }),
  ...(how.ring ? { ring: true } : {}),
  ...(how.about === undefined ? {} : { about: how.about }),
  ...(how.until === undefined ? {} : { until: how.until }),
});

/** Their telephone in the booking, as text messages reach it; undefined where none do. */
export const numberOf = ({ facts: { texts } }: Turn, { phone }: Person): string | undefined =>
  texts && phone ? e164(phone, texts) : undefined;

/** A page has no push: from it nothing is read for sure once it was silent for so long. */
const pageMs = 10 * minuteMs;

export const sameWay = (a: Address, b: Address): boolean =>
  a.channel === b.channel && a.to === b.to;

/** Whether something but `failed` reaches them now: a chat or number that carries, or the page that they have open. */
export function readsNow(
  { now }: Turn,
  { reached, lost = [], onPageAt }: Person,
  failed?: Address,
): boolean {
  const isOpen = onPageAt !== undefined && now - onPageAt < pageMs;
  const gone = [...lost.map((l) => l.way), ...(failed ? [failed] : [])];
  return reached.some((a) => (a.channel === "web" ? isOpen : !gone.some((way) => sameWay(way, a))));
}

/** Whether it may be about a threat that they told of: who else sees their telephone nobody knows. */
const mayBeThreat = ({ hire }: Turn, { id }: Person, n: number | undefined): boolean =>
  hire.callouts.some((c) => isSecret(c) && c.person === id && (c.state !== "done" || c.n === n));

/** The telephone of somebody whom nothing but `failed` reaches now, for what is about safety; none that the hire reads already. */
export function byText(turn: Turn, person: Person, n?: number, failed?: Address): Address[] {
  const to = numberOf(turn, person);
  const isRead =
    failed?.to === to || turn.hire.people.some((p) => p.reached.some((a) => a.to === to));
  const stays = isRead || readsNow(turn, person, failed) || mayBeThreat(turn, person, n);
  return to && !stays ? [{ channel: "gateway", to }] : [];
}

/** Who writes to them, at the end of the first text from a number that they do not know. */
function introduced(turn: Turn, person: Person, message: Message): Message {
  if (person.texted) return message;
  person.texted = true;
  person.greeted = true;
  const greeting = line(turn, "greeting");
  const { text } = message;
  return text.includes(greeting) ? message : { ...message, text: `${text}\n${greeting}` };
}

/** Whether somebody else of the hire is told the same there already: they share a number or a chat. */
function isTold(turn: Turn, person: Person, to: Address, message: Message): boolean {
  const bare = ({ text }: Message) => text.replace(`\n${line(turn, "greeting")}`, "");
  const others = turn.sends.filter((s) => s.person !== undefined && s.person !== person.id);
  return others.some((s) => sameWay(s.to, to) && bare(s.message) === bare(message));
}

/** Says something to one person: where they just wrote, or everywhere they read when it is about safety. */
export function tell(turn: Turn, person: Person, message: Message, how: How = {}): void {
  const from = "from" in turn.arrival.body ? turn.arrival.body.from : undefined;
  const here = from?.person === person.id ? from.via : undefined;
  const texts = how.safety ? byText(turn, person, how.callout) : [];
  const read: Address[] =
    person.reached.length > 0 ? person.reached : [{ channel: "web", to: person.id }];
  const to = here && !how.safety && !how.everywhere ? [here] : [...read, ...texts];
  const told = texts.length > 0 ? introduced(turn, person, message) : message;
  if (message.buttons?.length) numbered(turn.hire.talks[person.id]);
  sendTo(turn, person, to, told, how);
}

/** Says something to a telephone of theirs from which they never wrote. */
export function tellByText(
  turn: Turn,
  person: Person,
  to: Address[],
  message: Message,
  how: How,
): void {
  sendTo(turn, person, to, introduced(turn, person, message), how);
}

function sendTo(
  turn: Turn,
  person: Person,
  to: readonly Address[],
  message: Message,
  how: How,
): void {
  const fresh = to.filter((address) => !isTold(turn, person, address, message));
  for (const address of fresh)
    turn.sends.push({
      to: address,
      who: `hirer:${person.name}`,
      person: person.id,
      message,
      ...marks(how),
    });
}

/** Says something to everybody on the hire. */
export function tellAll(turn: Turn, message: Message, how: How = {}): void {
  for (const person of turn.hire.people) tell(turn, person, message, { ...how, everywhere: true });
}

/**
 * Sends something to a contact of the firm on every channel that reaches them now. False when none does.
 * Never sent to roadside assistance: hirers ring it.
 */
export function tellContact(turn: Turn, id: string, message: Message, how: How = {}): boolean {
  const sends = sendsTo(turn.facts.book.firm, turn.facts.reach, id, message, marks(how));
  turn.sends.push(...sends);
  return sends.length > 0;
}

/** Sets a due; the same key replaces the earlier one. `at` null drops it. */
export function setDue(
  turn: Turn,
  key: string,
  at: Instant | null,
  matter: Matter,
  generation: number,
): void {
  turn.dues = turn.dues.filter((d) => d.key !== key);
  turn.dues.push({ key, at, generation, matter });
}

/** The call-outs that are not done. */
export const openCallouts = (hire: Hire): Callout[] =>
  hire.callouts.filter((c) => c.state !== "done");

/** A call-out that is not done; undefined where there is none of this number. */
export const openCallout = (turn: Turn, n: number | undefined): Callout | undefined =>
  turn.hire.callouts.find((c) => c.n === n && c.state !== "done");

/** The van that a call-out is about. */
export const vanOf = (turn: Turn, callout: Callout): Booking["van"] =>
  callout.van ?? turn.hire.booking.van;

/** That van by its registration and the name of its type: "SX26 ABC (Curlew)". */
export function vanNamed(turn: Turn, callout: Callout): string {
  const { registration, type } = vanOf(turn, callout);
  return `${registration} (${turn.facts.book.vans.get(type)?.name ?? turn.van.name})`;
}

/** Puts a changed call-out back. */
export function put(turn: Turn, callout: Callout): void {
  turn.hire.callouts = turn.hire.callouts.map((c) => (c.n === callout.n ? callout : c));
}

/** An approved phrase in this hire's voice. */
export const line = (turn: Turn, id: string, words: Record<string, string> = {}): string =>
  phrase(turn.voice, id, words);

/** A time for this hire's people, in the hire's zone. */
export const clock = (turn: Turn, at: Instant): string =>
  sayTime(at, turn.now, turn.hire.booking.zone);

/** A time for staff, in the firm's zone: they read and write by its clock, wherever the hire is. */
export const staffClock = (turn: Turn, at: Instant): string =>
  sayTime(at, turn.now, turn.facts.book.firm.zone);

/** So many letters of what a hirer wrote stand in what staff read of a matter. */
const mostQuoted = 500;

/** What a hirer wrote, as an alert and the like quote it. */
export const quote = (words: string): string => words.slice(0, mostQuoted);

/** A contact's name. */
export const nameOf = (turn: Turn, id: string): string => nameIn(turn.facts.book.firm, id);
