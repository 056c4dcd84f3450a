/** Words that answer nothing in progress: a trouble, a place, a reading, a sum, a choice, a person, a question. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { placeIn, safetyOf } from "../../place/read.js";
import { isNight } from "../../triage/order.js";
import { noteTold } from "../callouts/needs.js";
import { resume } from "../callouts/questions.js";
import { cannotWait } from "../callouts/settle.js";
import { openFor, standing } from "../callouts/told.js";
import { isReply, readingSaid } from "../care/replies.js";
import { saysOther } from "../heard/aside.js";
import { asksForData } from "../heard/data.js";
import { placeKnown } from "../heard/last.js";
import { saysUrgent } from "../heard/person.js";
import type { Person } from "../hire.js";
import { act, sumCompleted, tellEntry, toPerson } from "../reply.js";
import { line, nameOf, openCallout, type Turn, talkOf, tell } from "../turn.js";
import { vanKnown } from "./facts.js";
import type { Handler } from "./handling.js";

const wantsCalendar =
  /^\W*(?:my |the )?calendar(?: link| file| please)?\W*$|\b(?:reminders?|checks?)\b.{0,30}\bcalendar\b|\bcalendar\b.{0,30}\b(?:link|reminders?|subscri\w+)\b/i;

/**
 * A light or fault. "Low again, 54,900, tyres ok" is the check that was asked for, however much it resembles a
 * light: it goes on.
 */
export const metTrouble: Handler = (turn, person, said) => {
  const { triaged, choice, words } = said;
  if (!triaged) return false;
  const replies = vanKnown(turn) && isReply(turn, person, words);
  if (!replies) act(turn, person, choice, words);
  said.passOn();
  return !replies;
};

/** A place, which was answered as one. */
export const toldPlace: Handler = (turn, person, { placed, open, words }) => {
  if (!placed) return false;
  if (open) noteTold(turn, person, open.n, words);
  resume(turn, person);
  return true;
};

/** Anything of a van that the book has not: every figure and place would be another van's. */
export const hadNoVan: Handler = (
  turn,
  person,
  { choice, owned, open, words, seen, asksPerson },
) => {
  if (vanKnown(turn) || choice.outcome === "courtesy") return false;
  if (owned && open) tell(turn, person, { text: passedOn(turn, open, seen) }, { callout: open.n });
  else toPerson(turn, person, words, asksPerson || (choice.outcome === "person" && "unclear"));
  return true;
};

/** The reply to a reminder. */
export const gaveReading: Handler = (turn, person, { words, more }) =>
  readingSaid(turn, person, words, more);

/** The figure that a sum waits for. */
export const completedSum: Handler = (turn, person, { words, choice }) =>
  !saysOther(turn, person, words, choice) && sumCompleted(turn, person, words);

/** A number that staff were the last to ask for, whatever it may resemble; where nothing is open a person gets it. */
export const answeredStaff: Handler = (turn, person, { forStaff, open, words, seen }) => {
  if (!forStaff) return false;
  if (open) tell(turn, person, { text: passedOn(turn, open, seen) }, { callout: open.n });
  else toPerson(turn, person, words);
  return true;
};

/** The number of a choice on the screen. */
export const pickedChoice: Handler = (turn, person, { words }) => {
  const number = /^\W*([1-3])\W*$/.exec(words)?.[1];
  const id = number && talkOf(turn, person.id).offered?.[Number(number) - 1];
  const entry = turn.facts.book.entries.get(id || "");
  if (entry) tellEntry(turn, person, entry, words);
  return entry !== undefined;
};

/** Wants the reminders in their calendar. */
export const wantedCalendar: Handler = (turn, person, { words }) => {
  if (!wantsCalendar.test(words)) return false;
  tell(turn, person, { text: line(turn, "calendar") });
  return true;
};

/** Asks for what is kept of them. */
export const wantedData: Handler = (turn, person, { words }) => {
  if (!asksForData(words)) return false;
  toPerson(turn, person, words, "data");
  return true;
};

/** Nobody was alerted of it, since it is night and it may wait. */
const mayStillWait = (c: Callout): boolean =>
  c.state === "nobody-yet" &&
  !c.urgent &&
  (c.waitsUntil !== undefined || (c.alerted.length === 0 && c.rungAt === undefined));

/** Says of what waits for the morning that it cannot, or, of a trouble, asks for a person: it is alerted now. */
export const couldNotWait: Handler = (turn, person, { words, mine, asksPerson, passOn }) => {
  const isUrgent = saysUrgent(words);
  const c = mine.find((one) => mayStillWait(one) && (isUrgent || one.severity !== "note"));
  if (!c || !(isUrgent || asksPerson)) return false;
  passOn();
  cannotWait(turn, person, c.n, []);
  return true;
};

/** Asks for a person where none has their matter; at night a trouble that rings somebody already is that matter. */
export const wantedPerson: Handler = (turn, person, { words, asksPerson, owned, open }) => {
  if (!asksPerson || owned || (open && isNight(turn.facts.book.firm, turn.now))) return false;
  toPerson(turn, person, words, true);
  return true;
};

/** While a matter is open: what was not understood is for whoever has it; what was, is answered as well. */
export const wroteToOwner: Handler = (turn, person, said) => {
  const { open, words, choice, more, asksPerson, seen } = said;
  if (!open) return false;
  const pressing = noteTold(turn, person, open.n, words);
  const understood = choice.outcome === "answer" || choice.outcome === "lacks" || more;
  if (!pressing && !understood && askedWhichPlace(turn, person, words)) {
    resume(turn, person);
    return true;
  }
  if (understood && !asksPerson) return false;
  if (!pressing) {
    if (choice.outcome === "courtesy" && !asksPerson) act(turn, person, choice, words);
    else tell(turn, person, { text: passedOn(turn, open, seen) }, { callout: open.n });
  }
  resume(turn, person);
  return true;
};

/** Everything else is what it was understood as. A talk that it interrupted goes on, but not while a choice is on the screen. */
export const actedOn: Handler = (turn, person, { choice, words }) => {
  act(turn, person, choice, words);
  if (choice.outcome === "person") {
    const asked = openFor(turn.hire, person).find((c) => c.kind === "person");
    if (asked) noteTold(turn, person, asked.n, words);
  }
  if (talkOf(turn, person.id).asking && choice.outcome !== "choices") resume(turn, person);
  return true;
};

/** "In a lay-by" does not tell where that is: it is asked once more, unless another has told it. True where it was. */
function askedWhichPlace(turn: Turn, person: Person, words: string): boolean {
  const talk = talkOf(turn, person.id);
  if (talk.whereAsked === undefined || talk.asking?.steps[0] === "place") return false;
  if (safetyOf(words) !== "safe" && placeIn(words) !== "vague") return false;
  const how = { callout: talk.whereAsked };
  const since = openCallout(turn, talk.whereAsked)?.openedAt ?? turn.now;
  delete talk.whereAsked;
  if (placeKnown(turn.hire, person, since)) return false;
  const askPlace = line(turn, "share-place");
  tell(turn, person, { text: line(turn, "which-place"), askPlace }, how);
  return true;
}

/** That the words reached staff, and how the matter stands where nobody has it yet. */
const passedOn = (turn: Turn, c: Callout, seen: boolean): string =>
  c.state === "with" && c.with && seen
    ? line(turn, "relayed", { name: nameOf(turn, c.with) })
    : `${line(turn, "added")} ${standing(turn, c)}`;
