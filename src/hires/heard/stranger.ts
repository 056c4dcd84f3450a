/**
 * Somebody without a hire: danger words get the emergency number all the same and ring staff until one of them has
 * seen it; a registration goes to staff; the rest is told how to reach the firm. Pure.
 */
import { after } from "../../calendar.js";
import { limitMin } from "../../callouts/steps.js";
import type { Book, DangerEntry } from "../../knowledge/book.js";
import { placeLines } from "../../place/place.js";
import type { Arrival, Booking, FileRef, LaneId, Message, Send, Sender } from "../../post.js";
import { callOrder } from "../../triage/order.js";
import { tellDanger } from "../../wording/entry.js";
import { staffSees } from "../../wording/staff-taps.js";
import type { Facts, Person, Step, Stranger, StrangerAlert } from "../hire.js";
import { newHire } from "../people.js";
import { begin, line, nameOf, setDue, type Turn, tell, tellContact } from "../turn.js";
import { type Choice, understand } from "../understand.js";

const registration = /\b[A-Z]{2}\s?\d{2}\s?[A-Z]{3}\b|\b[A-Z]{2}\d{2}\b/i;

/** A turn on a hire of nobody, in the firm's own place. */
function openTurn({ lane }: Stranger, arrival: Arrival, facts: Facts, from?: Sender): Turn {
  const { book, now } = facts;
  const nobody = newHire({
    hire: lane as Booking["hire"],
    van: { registration: "?", type: [...book.vans.keys()][0] ?? "" },
    pickupAt: now,
    returnAt: now,
    zone: book.firm.zone,
    region: book.firm.region,
    lang: "en",
    people: [{ id: "stranger", name: from?.name ?? "somebody", booker: true }],
    surname: "",
    status: "booked",
  });
  const reached = from ? [from.via] : [];
  const people = nobody.people.map((person) => ({ ...person, reached }));
  return begin({ ...nobody, people }, arrival, facts);
}

/** "text message from +447700900999, no name": the number is all that staff have to answer a text message by. */
const whoIs = ({ via: { channel, to }, name }: Sender): string =>
  `${channel === "gateway" ? `text message from ${to}` : channel}, ${name ?? "no name"}`;

/** So many letters of their words reach staff. */
const mostPassedOn = 1000;
const wrote = (from: Sender, words: string): string =>
  `Somebody without a hire (${whoIs(from)}) wrote: "${words.slice(0, mostPassedOn)}"`;

/** Tells contacts what somebody without a hire wrote or shared; who was reached. */
function passOn(turn: Turn, to: readonly string[], message: Message, isUrgent: boolean): string[] {
  const how = isUrgent ? ({ safety: true, ring: true, severity: "danger" } as const) : {};
  return to.filter((id) => tellContact(turn, id, message, how));
}

/** Rings everybody, and again until one of them has seen it; who was reached. */
function ringAll(turn: Turn, alert: StrangerAlert): string[] {
  const { firm } = turn.facts.book;
  const place = alert.place ? `\nThey are at: ${alert.place}` : "";
  const message = {
    text: `${wrote(alert.from, alert.words)}${place}`,
    buttons: [staffSees(turn.arrival.lane)],
  };
  const reached = passOn(turn, callOrder(firm, "danger", turn.now), message, true);
  const again = after(turn.now, limitMin(firm, "danger"));
  setDue(turn, "stranger:again", again, { kind: "stranger" }, 0);
  turn.because.push(`alerted ${reached.join(", ") || "nobody"} for somebody without a hire`);
  return reached;
}

/** One of staff has seen it and looks after it: nobody is rung any more, and the others and whoever wrote hear it. */
function seen(turn: Turn, alert: StrangerAlert, by: string): void {
  const name = nameOf(turn, by);
  const text = `${name} looks after what somebody without a hire wrote (${whoIs(alert.from)}).`;
  for (const id of callOrder(turn.facts.book.firm, "danger", turn.now))
    if (id !== by) tellContact(turn, id, { text }, { safety: true });
  setDue(turn, "stranger:again", null, { kind: "stranger" }, 0);
  const [person] = turn.hire.people;
  if (person) tell(turn, person, { text: line(turn, "taken", { name }) }, { safety: true });
  turn.because.push(`seen by ${by}`);
}

/** What comes in for a chat without a hire that nobody of it wrote: the alert rings again, or was seen. */
function notSaid(stranger: Stranger, arrival: Arrival, facts: Facts): Step {
  const { body } = arrival;
  const { alert, ...rest } = stranger;
  const state = { kind: "stranger", stranger } as const;
  const isSeen = body.kind === "desk" && body.act.do === "seen";
  const rings = body.kind === "due" && body.matter.kind === "stranger";
  if (!alert || !(isSeen || rings))
    return { state, sends: [], dues: [], because: [`ignored: ${body.kind} for nobody`] };
  const turn = openTurn(stranger, arrival, facts, alert.from);
  if (isSeen) seen(turn, alert, body.by);
  else ringAll(turn, alert);
  const { sends, dues, because } = turn;
  return { state: isSeen ? { ...state, stranger: rest } : state, sends, dues, because };
}

/** A message of a member of staff from their own chat: it goes to no hirer, and they are told so. */
function staffChat(turn: Turn, person: Person, from: Sender): boolean {
  const { body } = turn.arrival;
  const { telegram } = turn.facts.reach;
  const contact = Object.keys(telegram).find((id) => telegram[id] === from.via.to);
  if (!contact || from.via.channel !== "telegram") return false;
  const id = "edited" in body && body.edited ? "staff-chat-edited" : "staff-chat";
  tell(turn, person, { text: line(turn, id, { name: nameOf(turn, contact) }) });
  turn.because.push("a contact's own chat");
  return true;
}

/** Danger words: the act that saves life first, and everybody of staff is rung. */
function inDanger(turn: Turn, person: Person, alert: StrangerAlert, danger: DangerEntry): void {
  const reached = ringAll(turn, alert);
  const told = tellDanger(turn.voice, danger, {
    words: alert.words,
    registration: "if you know it",
    people: 1,
  });
  const text = [told.text, ...(reached.length > 0 ? [] : [line(turn, "alerted-none")])].join("\n");
  const how = { safety: true, severity: "danger" } as const;
  tell(turn, person, { text, askPlace: line(turn, "share-place") }, how);
  turn.because.push(`danger ${danger.id} from somebody without a hire`);
}

/** A place that was shared: they may have been told to in a danger. */
function atPlace(turn: Turn, person: Person, from: Sender, place: readonly string[]): void {
  const text = `Somebody without a hire (${whoIs(from)}) is at: ${place.join(" · ")}`;
  const all = callOrder(turn.facts.book.firm, "danger", turn.now);
  const reached = passOn(turn, all, { text }, true);
  tell(turn, person, { text: line(turn, "located", { place: place.join("\n") }) });
  tell(turn, person, { text: line(turn, reached.length > 0 ? "stranger" : "alerted-none") });
}

/** Words that staff are to have: all of them while a danger is not seen yet, else whoever is on duty. */
function handOn(turn: Turn, person: Person, from: Sender, words: string, open: boolean): void {
  const { firm } = turn.facts.book;
  const text = wrote(from, words);
  const order = callOrder(firm, open ? "danger" : "person", turn.now);
  const reached = passOn(turn, open ? order : order.slice(0, 1), { text }, open);
  const id = reached.length === 0 ? "alerted-none" : open ? "danger-told" : "stranger-passed";
  tell(turn, person, { text: line(turn, id) }, { safety: open });
  turn.because.push(`${open ? "words in danger were" : "a registration was"} passed to staff`);
}

/** What their words mean, read as a hirer's are: nobody knows their van, so it is one that has most. */
function meantBy(text: string, { book, matcher }: Facts): Choice | undefined {
  const [van] = [...book.vans.values()].sort((a, b) => b.has.length - a.has.length);
  return van && understand(matcher, { text, van });
}

/** The danger of which they surely tell, also by the name of a fault that is one. */
function dangerIn(choice: Choice | undefined, { entries }: Book): DangerEntry | undefined {
  if (choice?.outcome !== "triage") return undefined;
  const first = entries.get(choice.entries[0]?.id ?? "");
  const entry = first?.kind === "fault" && first.sameAs ? entries.get(first.sameAs) : first;
  return entry?.kind === "danger" ? entry : undefined;
}

/** What may be a danger: the number, and the words ring one of staff, who can ask. */
function inDoubt(turn: Turn, person: Person, from: Sender, words: string): void {
  const order = callOrder(turn.facts.book.firm, "danger", turn.now);
  const reached = order.find((id) => passOn(turn, [id], { text: wrote(from, words) }, true).length);
  const passed = line(turn, reached === undefined ? "alerted-none" : "stranger-passed");
  tell(turn, person, { text: `${line(turn, "doubt")}\n${passed}` }, { safety: true });
  turn.because.push(`a doubt was passed to ${reached ?? "nobody"}`);
}

/** What they sent that nobody can read here: what it is called, and the file where it is had. */
function sentIn(body: Arrival["body"]): { what: string; file?: FileRef } | undefined {
  if ("edited" in body && body.edited) return undefined;
  if (body.kind === "photo") return { what: "photo", file: body.file };
  const file = body.kind === "unreadable" && body.file ? { file: body.file } : {};
  return body.kind === "unreadable" ? { what: body.what, ...file } : undefined;
}

/** While a danger is not seen yet staff have what was sent, and whoever sent it hears that nothing of it was read. */
function handOnFile(
  turn: Turn,
  person: Person,
  from: Sender,
  { what, file }: { what: string; file?: FileRef },
  quiet: boolean,
): void {
  const { firm } = turn.facts.book;
  const text = `Somebody without a hire (${whoIs(from)}) sent a ${what}.`;
  const all = callOrder(firm, "danger", turn.now);
  const reached = passOn(turn, all, { text, ...(file ? { file } : {}) }, true);
  turn.because.push(`a ${what} in danger was passed to staff`);
  if (quiet) return;
  const told = reached.length > 0 ? line(turn, "stranger-file", { what }) : undefined;
  tell(turn, person, { text: told ?? line(turn, "alerted-none") }, { safety: true });
}

/** Their chat has joined a hire: a danger that is open here goes on there, where the van and its people are known. */
function goesAlong({ alert, ...rest }: Stranger, arrival: Arrival, from: Sender, to: LaneId): Step {
  const state = { kind: "stranger", stranger: rest } as const;
  if (!alert) return { state, sends: [], dues: [], because: ["joined its hire"] };
  const text = [alert.words, ...(alert.place ? [alert.place] : [])].join("\n");
  const told: Arrival = {
    ...{ key: `${arrival.key}:told`, lane: to },
    ...{ receivedAt: arrival.receivedAt, writtenAt: alert.at },
    body: { kind: "said", from, text },
  };
  return {
    state,
    sends: [],
    dues: [{ key: "stranger:again", at: null, generation: 0, matter: { kind: "stranger" } }],
    because: ["joined its hire: the danger goes on there"],
    posts: [told],
  };
}

/** One arrival of somebody without a hire. */
export function strange(stranger: Stranger, arrival: Arrival, facts: Facts): Step {
  const { body } = arrival;
  if (!("from" in body)) return notSaid(stranger, arrival, facts);
  const { from } = body;
  if (body.kind === "joined" && body.to) return goesAlong(stranger, arrival, from, body.to);
  const turn = openTurn(stranger, arrival, facts, from);
  const [person] = turn.hire.people;
  const text = body.kind === "said" ? body.text : body.kind === "photo" ? (body.caption ?? "") : "";
  const place = body.kind === "located" ? placeLines(body) : undefined;
  const sent = sentIn(body);
  const choice = meantBy(text, facts);
  const danger = dangerIn(choice, facts.book);
  let { alert } = stranger;
  if (!person || staffChat(turn, person, from))
    return {
      state: { kind: "stranger", stranger },
      sends: turn.sends,
      dues: [],
      because: turn.because,
    };
  if (danger) {
    alert = { ...alert, from, words: text, at: facts.now };
    inDanger(turn, person, alert, danger);
  } else if (place) {
    if (alert) alert = { ...alert, place: place.join(" · ") };
    if (body.kind === "located" && body.live !== "moved") atPlace(turn, person, from, place);
    turn.because.push("the place of somebody without a hire");
  } else if (choice?.doubt && !alert) {
    inDoubt(turn, person, from, text);
  } else if (text !== "" && (alert || registration.test(text))) {
    handOn(turn, person, from, text, alert !== undefined);
  } else if (!(alert && sent)) {
    tell(turn, person, { text: line(turn, "stranger") });
    turn.because.push("told how to reach the firm");
  }
  if (alert && sent) handOnFile(turn, person, from, sent, text !== "");
  const urgent = (s: Send) => s.person !== undefined && s.severity === "danger";
  return {
    state: {
      kind: "stranger",
      stranger: { ...stranger, greeted: true, ...(alert ? { alert } : {}) },
    },
    // In danger their own words go out before any alert.
    sends: [...turn.sends.filter(urgent), ...turn.sends.filter((s) => !urgent(s))],
    dues: turn.dues,
    because: turn.because,
  };
}
