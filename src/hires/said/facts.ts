/** What is known of a hirer's words before anything is done about them. Pure; changes nothing that is told. */
import type { Callout } from "../../callouts/callout.js";
import { isSecret } from "../../callouts/whose.js";
import { concerns, type Entry } from "../../knowledge/book.js";
import { picked } from "../../matching/reading/talk.js";
import { safetyOf } from "../../place/read.js";
import { anyDanger } from "../../triage/danger.js";
import { sameTrouble } from "../../triage/matter.js";
import { isNumber } from "../callouts/settle.js";
import { tellsOther } from "../heard/aside.js";
import { lightOnSheet } from "../heard/light.js";
import { asksForPerson } from "../heard/person.js";
import { onlyPlace } from "../heard/place.js";
import { openOf } from "../heard/sign.js";
import type { Person } from "../hire.js";
import { stopsFirst } from "../reply.js";
import { openCallout, type Turn, talkOf, wroteBefore } from "../turn.js";
import { type Choice, understand } from "../understand.js";
import { dangerOf } from "./in-danger.js";

/** A message and where it comes in a talk. */
export type SaidFacts = {
  words: string;
  /** It came before, with other words. */
  edited: boolean;
  /** What it means, and whether that is a light, a fault or a danger. */
  choice: Choice;
  triaged: boolean;
  /** The entry that it is most likely about, and the matter under which that one is opened. */
  first: Entry | undefined;
  matter: string | undefined;
  /** The danger that is feared, where that is in doubt. */
  feared: string | undefined;
  /** A threat, or what may be one: its words stand on no matter that others share. */
  isThreat: boolean;
  /** Their open matters: the one that words are passed on to, the one that somebody has, the danger. */
  mine: readonly Callout[];
  open: Callout | undefined;
  owned: Callout | undefined;
  inDanger: Callout | undefined;
  /** It tells that very matter again: the alert of that carries its words. */
  again: boolean;
  /** They were asked where they are, and what the words say of the place where it is asked for now. */
  askedPlace: boolean;
  safety: "safe" | "unsafe" | undefined;
  /** The light whose number on the sheet it is. */
  light: Entry | undefined;
  /** The call-outs about which they were asked whether all is well, and whether roadside assistance is there. */
  wellAsked: number | undefined;
  roadsideAsked: number | undefined;
  /** A number after words of staff. */
  forStaff: boolean;
  /** It picks from the screen, was changed or written before the question, or asks for something else: it answers none. */
  aside: boolean;
  /** Most likely a trouble that stops the van and is not open yet: then they choose which it is. */
  more: boolean;
  asksPerson: boolean;
};

/** Whether the book has this van. */
export const vanKnown = (turn: Turn): boolean =>
  turn.facts.book.vans.has(turn.hire.booking.van.type);

/** Reads a message. To be asked before anything of the turn is changed by it. */
export function readSaid(turn: Turn, person: Person, words: string, edited: boolean): SaidFacts {
  const { book, matcher } = turn.facts;
  const talk = talkOf(turn, person.id);
  const { lastEntries, offered = [], asking, whereAsked, wellAsked, roadsideAsked } = talk;
  const read = understand(matcher, {
    text: words,
    van: turn.van,
    lang: turn.hire.booking.lang,
    context: { lastEntries, ...(offered.length > 0 ? { offered } : {}) },
  });
  const mine = openOf(turn, person);
  const owned = mine.find((c) => c.state === "with");
  const open = mine.find(isSecret) ?? mine.find((c) => c.severity !== "note") ?? owned;
  const askedPlace = asking?.steps[0] === "place" || openCallout(turn, whereAsked) !== undefined;
  const tellsPlace =
    (askedPlace || mine.some((c) => c.severity !== "note")) && onlyPlace(book, read.danger, words);
  const choice = tellsPlace ? aPlace(read) : read;
  const triaged = choice.outcome === "triage";
  const first = book.entries.get(choice.entries[0]?.id ?? "");
  const matter = matterOf(first);
  const feared = choice.doubt ? fearedIn(turn, choice) : undefined;
  const picks = picked(words, offered) !== undefined;
  const unseen = wroteBefore(turn, talk.askedAt);
  return {
    words,
    edited,
    choice,
    triaged,
    first,
    matter,
    feared,
    isThreat: isSecret({ matter: feared ?? matter ?? "" }),
    mine,
    open,
    owned,
    inDanger: dangerOf(mine),
    again:
      triaged &&
      matter !== undefined &&
      open !== undefined &&
      sameTrouble(book, matter, open.matter),
    askedPlace,
    safety: asking?.steps[0] === "place" ? safetyOf(words) : undefined,
    light: unseen ? undefined : lightOnSheet(turn, person, words),
    wellAsked: unseen ? undefined : wellAsked,
    roadsideAsked: unseen ? undefined : roadsideAsked,
    forStaff: talk.staffLast === true && isNumber(words),
    aside: edited || unseen || picks || tellsOther(turn, person, words, choice),
    more: tellsMore(turn, mine, words, choice),
    asksPerson: asksForPerson(words),
  };
}

/** From this probability on choices are most likely a trouble. Set by hand. */
const likely = 0.5;

function tellsMore(turn: Turn, open: readonly Callout[], words: string, choice: Choice): boolean {
  const { book } = turn.facts;
  const [top] = choice.entries;
  const lead = book.entries.get(top?.id ?? "");
  return (
    choice.outcome === "choices" &&
    (top?.p ?? 0) >= likely &&
    stopsFirst(lead, words) &&
    !open.some((c) => sameTrouble(book, c.matter, lead?.id ?? ""))
  );
}

/** The matter under which an entry is opened: some faults are a danger by another name. */
const matterOf = (entry: Entry | undefined): string | undefined =>
  entry?.kind === "fault" && entry.sameAs ? entry.sameAs : entry?.id;

/** Words that only tell where they are, whatever that place reminds of. */
const aPlace = (choice: Choice): Choice => {
  const { danger: _danger, ...rest } = choice;
  return { ...rest, outcome: "person", entries: [], answered: 0, doubt: false };
};

/** The danger that is feared, of those that this van can be in. */
function fearedIn(turn: Turn, { danger: id, entries }: Choice): string {
  const fits = (one: string | undefined) => {
    const entry = turn.facts.book.entries.get(one ?? "");
    return entry?.kind === "danger" && concerns(entry, turn.van);
  };
  return [id, ...entries.map((e) => e.id)].find(fits) ?? anyDanger;
}
