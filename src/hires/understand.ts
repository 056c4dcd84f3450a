/** What a hirer's words mean: danger read first, then one decision over all entries. Pure. */
import type { VanType } from "../knowledge/placeholders.js";
import { type Choice, type Context, choose } from "../matching/choose.js";
import type { Matcher } from "../matching/matcher.js";
import { read } from "../matching/reading/lexicon.js";
import { asksOutright } from "../matching/reading/parts.js";
import { coordinatesIn, placeIn } from "../place/read.js";
import { mostLetters } from "../post.js";
import { sumFor } from "../sums/ask.js";
import { readDanger } from "../triage/danger.js";
import { colourOf, lightIn, onlyColour } from "../triage/lights.js";

export type { Choice, Context } from "../matching/choose.js";

type Words = { text: string; van: VanType; lang?: string; context?: Context };

/** Understands a message. Never throws; the same words in the same talk always give the same choice. */
export function understand(matcher: Matcher, said: Words): Choice {
  const text = said.text.slice(0, mostLetters);
  const read = understood(matcher, said, text);
  const whole = read.danger ? withoutDenied(matcher, said, text, read) : read;
  if (whole.danger && !whole.doubt) return whole;
  // "Van on fire, marker post 34": where they are says nothing of what has happened, and must not drown it.
  const rest = withoutPlace(text);
  const less = rest === undefined ? undefined : understood(matcher, said, rest);
  return less?.danger && !less.doubt ? less : whole;
}

/** The message without the parts that only tell a place; undefined where there are none, or nothing else. */
function withoutPlace(text: string): string | undefined {
  const parts = text.split(/[,;\n]+|[.!?]+(?=\s|$)/).filter((part) => part.trim() !== "");
  const rest = parts.filter((part) => placeIn(part) !== "spot" && !coordinatesIn(part));
  return rest.length > 0 && rest.length < parts.length ? rest.join(", ") : undefined;
}

/** Alarming things that are said not to be: "no gas smell", "nobody hurt", "the baby is out here with me". A denial that is a sign itself ("no pulse") is none of these. */
const calming =
  /\b(?:no|without(?: any)?|not any)\s+(?:\w+\s+)?(?:smells?|hiss(?:ing)?|leaks?|smoke|fire|flames?|fumes|sparks?|injur(?:y|ies))\b|\b(?:nobody|no ?one|none of us)(?:'s| is| are| was| got)?\s+(?:hurt|injured|harmed|hit|ill|sick|unwell|inside|in it)\b|\bno (?:person|people|animals?|pets?|kids?|child(?:ren)?)\s+in(?:side)?\b|\b(?:baby|bairns?|toddler|child(?:ren)?|kids?|dogs?|cat|pup(?:py)?)(?:'s| is| are)?\s+(?:(?:here|out|outside)\s+)*(?:with (?:me|us)|out(?:side| here))(?:\s+(?:here|outside))?\b/gi;

/** A danger or doubt, read again without what is denied: those words must not make the alarm. */
function withoutDenied(matcher: Matcher, said: Words, text: string, read: Choice): Choice {
  const rest = text.replace(calming, " ");
  if (rest === text || !/\p{L}{2}/u.test(rest)) return read;
  const calm = understood(matcher, said, rest);
  return !calm.danger || (calm.doubt && !read.doubt) ? calm : read;
}

function understood(matcher: Matcher, said: Words, text: string): Choice {
  const also = read(matcher.index.lexicon, text)
    .tokens.map((t) => t.word)
    .join(" ");
  const danger = readDanger(text, matcher.book, {
    van: said.van,
    also,
    ...(said.lang ? { lang: said.lang } : {}),
  });
  const decided = choose(matcher, { ...said, text, danger });
  const choice = unclearLight(matcher, lightsHere(matcher, decided, said.van, text), said);
  return settledByFigures(choice, matcher, said);
}

/** Words that suppose a light or ask for its looks, and words by which one is on. */
const supposes = /\b(?:if|when(?:ever)?|would|looks? like|have (?:an?|any|one))\b/i;
const isOn =
  /\b(?:is|are|came|has|just|now|on the|lit|gone|went|popp\w+|appear\w*|says?|show\w*)\b|['’]s\b/i;

/**
 * A light that this van has not is told as one that they do not know: whatever is lit, nobody drives on because
 * the van has no such part. What only supposes it ("what would it look like") is answered by what the van has not.
 */
function lightsHere({ book }: Matcher, choice: Choice, van: VanType, text: string): Choice {
  const { lacks, ...rest } = choice;
  const isLack = lacks !== undefined && book.entries.get(lacks)?.kind === "light";
  const isQuestion =
    asksOutright(text) && supposes.test(text) && !isOn.test(text) && !colourOf(text);
  if (isLack ? isQuestion : choice.outcome !== "triage") return choice;
  const here = choice.entries.map(({ id, p }) => {
    const entry = book.entries.get(id);
    return { id: entry ? lightIn(book, entry, van).id : id, p };
  });
  if (here.every(({ id }, i) => id === choice.entries[i]?.id)) return choice;
  const entries = here.filter(({ id }, i) => here.findIndex((e) => e.id === id) === i);
  const answered = isLack ? 1 : choice.answered;
  return { ...rest, outcome: "triage", answered, entries };
}

/**
 * Lights of which none is named for certain, where "a light you do not know" is one of the meanings: that is
 * what it is, so it stops the van and its colour is asked, before the sheet of lights. A colour alone names none
 * either, unless it is said of a light that was told before.
 */
function unclearLight({ book }: Matcher, choice: Choice, { text, context }: Words): Choice {
  const [lead] = choice.entries;
  if (!lead || book.entries.get(lead.id)?.kind !== "light") return choice;
  const [last = "unknown-light"] = context?.lastEntries ?? [];
  const isColour = last === "unknown-light" && onlyColour(text);
  const named = choice.entries.find((e) => e.id === "unknown-light" && e.p >= 0.1);
  const unknown = isColour ? { id: "unknown-light", p: lead.p } : named;
  if (!unknown || !(isColour || choice.outcome === "choices")) return choice;
  const entries = [unknown, ...choice.entries.filter((e) => e.id !== unknown.id)];
  return { ...choice, outcome: "triage", answered: 1, entries };
}

const asks =
  /\?|(?:^|[,.;:])\W*(?:how|can|could|will|would|is|are|do|does|did|what|which|enough)\b|\b(?:can|will|does|do|is) (?:the|this|that|our|we|it)\b|\bhow (?:long|far|much|many)\b/i;
/** Words of a light or a fault: figures beside them are what it shows. */
const shows = /\b(?:lights?|lamp|warning|message|symbol|display|beep\w*|flash\w*|came on)\b/i;
/** Probabilities from which figures decide, where one is still lacking, and beside an answer that lacks one. Set by hand, not tuned. */
const least = { told: 0.2, lacking: 0.4, beside: 0.1 };

/**
 * Of the choices to be offered, or beside an answer whose sum lacks a figure, the one whose sum the words give,
 * else the first one where it only lacks a figure: what is asked with a figure, or told after it was asked for, is
 * hardly about anything else. Nothing changes for lights and faults.
 */
function settledByFigures(choice: Choice, matcher: Matcher, said: Words): Choice {
  const { text, van, context } = said;
  const { outcome, entries, answered, doubt, danger } = choice;
  const offered = outcome === "choices";
  if (!(offered || (outcome === "answer" && answered === 1)) || doubt || danger) return choice;
  const [lead] = entries;
  const goesOn = lead?.id === context?.lastEntries[0];
  if (!lead || !(goesOn || asks.test(text)) || shows.test(text)) return choice;
  const { sums } = matcher.book;
  const facts = { van, sums, values: new Map<string, string>(), distanceUnit: "miles" } as const;
  const given = (id: string) => sumFor(id, text, facts)?.told.length;
  const lacks = given(lead.id) === 0;
  if (!offered && !lacks) return choice;
  const told = entries.find((e) => e.p >= (lacks ? least.beside : least.told) && given(e.id));
  const found = told ?? (offered && lacks && lead.p >= least.lacking ? lead : undefined);
  if (!found) return choice;
  const others = entries.filter((e) => e !== found);
  return { ...choice, outcome: "answer", answered: 1, entries: [found, ...others] };
}
