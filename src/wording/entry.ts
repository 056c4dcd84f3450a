/** Entries of the knowledge base as messages. Pure. Cautions are always told; nothing is cut. */
import {
  type AnswerEntry,
  concernsDriving,
  type DangerEntry,
  type Entry,
  type FaultEntry,
  type LightEntry,
} from "../knowledge/book.js";
import { bare } from "../knowledge/danger-words.js";
import { fits, stepOf } from "../knowledge/patterns.js";
import { fill, fillSteps } from "../knowledge/placeholders.js";
import { isGrave, type Severity } from "../severity.js";
import { phrase, type Voice } from "./say.js";

type Body = {
  lead?: string | undefined;
  steps: string[];
  ifNot?: string | undefined;
  ring?: string | undefined;
  cautions: string[];
};

const numbered = (steps: readonly string[]) => steps.map((s, i) => `${i + 1}. ${s}`);
const lines = (parts: (string | undefined | string[])[]) =>
  parts
    .flat()
    .filter((p): p is string => p !== undefined && p !== "")
    .join("\n");

/** The body for this van: the first variant whose feature the van has, else the general text. */
export function bodyFor(
  voice: Voice,
  text: Body & { variants?: (Body & { when: string; picture?: string | undefined })[] },
): Body & { picture?: string | undefined } {
  return text.variants?.find((v) => voice.van.has.includes(v.when)) ?? text;
}

function bodyLines(voice: Voice, body: Body): string[] {
  const cautions = body.cautions.map((c) => `Take care: ${fill(c, voice.values)}`);
  return [
    ...(body.lead ? [fill(body.lead, voice.values)] : []),
    ...cautions,
    ...numbered(fillSteps(body.steps, voice.values)),
    ...(body.ifNot ? [fill(body.ifNot, voice.values)] : []),
    ...(body.ring ? [fill(body.ring, voice.values)] : []),
  ];
}

/** An answer, whole. */
export function tellAnswer(voice: Voice, entry: AnswerEntry): { text: string; pictures: string[] } {
  const body = bodyFor(voice, entry.text);
  const picture = body.picture ?? entry.text.picture;
  return {
    text: lines([`${fill(entry.title, voice.values)}`, bodyLines(voice, body)]),
    pictures: picture ? [picture] : [],
  };
}

/** The line for once they stand: engine off, but after some lights. */
export const onceStopped = (entry: Entry): string =>
  entry.kind === "light" && entry.text?.engineStaysOn ? "once-stopped-engine-on" : "once-stopped";

/**
 * A light or fault: stop first, may it move, first steps, whom to ring. `alerted`: the true line of who was
 * told; `beside`: a worse one was told just before, with what holds for both.
 */
export function tellTrouble(
  voice: Voice,
  entry: LightEntry | FaultEntry,
  severity: Severity,
  more: { unsafe?: boolean; alerted?: string; beside?: boolean } = {},
): { text: string; pictures: string[] } {
  const text = entry.text;
  if (!text) return { text: entry.title, pictures: [] };
  const body = bodyFor(voice, text);
  const pictures = text.picture ? [text.picture] : [];
  const means = "means" in text ? fill(text.means, voice.values) : undefined;
  if (more.beside)
    return {
      text: lines([fill(entry.title, voice.values), means, bodyLines(voice, body)]),
      pictures,
    };
  const serious = isGrave(severity);
  const moving = concernsDriving(entry);
  const isNote = severity === "note";
  const mayMove =
    moving || severity === "stop"
      ? phrase(voice, `may-move-${serious ? "stop" : severity}`)
      : undefined;
  const roadside = (entry.kind === "light" || (entry.text?.roadside ?? true)) && !isNote;
  return {
    text: lines([
      !isNote && moving ? phrase(voice, "stop-first") : undefined,
      fill(entry.title, voice.values),
      means,
      isNote ? undefined : mayMove,
      serious && moving ? phrase(voice, onceStopped(entry)) : undefined,
      bodyLines(voice, body),
      // What is to be done first may be to stop, for a belt that is not on.
      isNote ? mayMove : undefined,
      serious && moving ? phrase(voice, "motorway") : undefined,
      isNote
        ? undefined
        : more.unsafe
          ? phrase(voice, "ring-roadside-now")
          : [phrase(voice, "ring-firm"), ...(roadside ? [phrase(voice, "ring-roadside")] : [])],
      more.alerted,
    ]),
    pictures,
  };
}

/** So many steps fit a phone. */
const shown = 7;

/** Which of a danger's cases the words tell. `cases`: in one or more languages. */
function casesTold(cases: DangerEntry["text"]["cases"][], words: string): (i: number) => boolean {
  const said = bare(words);
  return (i) => {
    const of = stepOf(cases.flatMap((c) => c[i] ?? []));
    return said.some((word) => of && fits(of, word));
  };
}

/** The steps of what is told before the others; else in their order. */
const toldFirst = (steps: readonly string[], isTold: (i: number) => boolean): string[] =>
  [...steps.filter((_, i) => isTold(i)), ...steps.filter((_, i) => !isTold(i))].slice(0, shown);

/** What the operator reads or hears of a danger, in English; before it, in the hirer's language, what it is for. */
function operatorCard(
  voice: Voice,
  { title, text }: DangerEntry,
  isTold: (i: number) => boolean,
  facts: { registration: string; people: number; place?: string },
): string[] {
  const what = text.card ?? title;
  const told = text.caseCards.filter((_, i) => isTold(i)).join(", ");
  const card = phrase(voice, "card", {
    registration: facts.registration,
    people:
      facts.people === 1
        ? phrase(voice, "card-person")
        : phrase(voice, "card-people", { n: `${facts.people}` }),
    what: told ? phrase(voice, "card-case", { what, told }) : what,
    place: facts.place ? ` ${phrase(voice, "card-place", { place: facts.place })}` : "",
  });
  return [phrase(voice, "card-show"), card];
}

/** A danger: the act that saves life and the number first; then what next, what not, and our staff. */
export function tellDanger(
  voice: Voice,
  entry: DangerEntry,
  facts: { words: string; registration: string; people: number; place?: string; late?: string },
): { text: string; pictures: string[] } {
  const local = voice.book.dangersIn.get(voice.lang)?.get(entry.id);
  const told = local ?? entry.text;
  // "999 or 112" is said in the hirer's language; the card for the operator stays English.
  const own = new Map(voice.values);
  const number = own.get("region.emergency");
  if (local && typeof number === "string")
    own.set("region.emergency", number.replace(" or ", ` ${phrase(voice, "or")} `));
  const told1 = (t: string) => fill(t, own);
  const isTold = casesTold([entry.text.cases, local?.cases ?? []], facts.words);
  return {
    text: lines([
      told1(told.first),
      facts.late,
      phrase(voice, "cannot-ring"),
      numbered(toldFirst(told.steps, isTold).map(told1)),
      told.never.map((n) => `✗ ${told1(n)}`),
      phrase(voice, "danger-where", { registration: facts.registration }),
      local ? operatorCard(voice, entry, isTold, facts) : undefined,
      phrase(voice, "danger-us"),
    ]),
    pictures: [],
  };
}
