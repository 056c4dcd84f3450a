/** From a message to one act: the act with the least expected cost. Pure. */
import { concerns, type Entry, gravityOf } from "../knowledge/book.js";
import type { VanType } from "../knowledge/placeholders.js";
import type { Reason } from "../post.js";
import { type Costs, costs, second } from "./costs.js";
import type { Matcher } from "./items.js";
import { featureNamed } from "./lacking.js";
import { type Meant, meant } from "./meant.js";
import { weighed } from "./peril.js";
import { coveredBy, read } from "./reading/lexicon.js";
import { inOrder, isSaidBetter, type Matter, mattersOf, twins } from "./reading/matters.js";
import { asksOutright } from "./reading/parts.js";
import { type Context, onlyTurnsDown, picked } from "./reading/talk.js";
import type { Likelihood } from "./scoring/calibrate.js";
import { entryOf, explain, round, type Why } from "./why.js";
import type { DangerVerdict } from "./words.js";

export type { Context } from "./reading/talk.js";
export type { Why } from "./why.js";

const outcomes = ["answer", "choices", "triage", "lacks", "courtesy", "person"] as const;
type Outcome = (typeof outcomes)[number];
type Said = {
  text: string;
  van: VanType;
  lang?: string;
  context?: Context;
  danger: DangerVerdict;
};
export type Choice = {
  outcome: Outcome;
  /** Up to three, best first. */
  entries: { id: string; p: number }[];
  /** How many leading entries are told in full. */
  answered: 0 | 1 | 2;
  /** The entry, or the feature, that is about what this van has not. */
  lacks?: string;
  /** Whether the emergency number and the one question must come with it. */
  doubt: boolean;
  /** The danger that was read or feared. */
  danger?: string;
  /** The language, not English, in which it was told. */
  lang?: string;
  why: Why;
};
type Shown = { id: string; p: number };
type Marks = Pick<Choice, "doubt" | "danger" | "lang" | "why">;

function wrongOf(first: Entry, table: Costs): number {
  if (first.kind === "courtesy") return table.wrongCourtesy;
  return first.kind === "light" || first.kind === "fault" ? table.wrongTrouble : table.wrong;
}

/** What each act would cost, in expectation. `lacking`: how likely it is about the thing that the van has not, if the first entry is about one. */
function priced(
  likely: Likelihood,
  first: Entry,
  lacking: number | undefined,
  table: Costs,
): Record<"tell" | "offer" | "person", number> {
  const [p1 = 0, p2 = 0, p3 = 0] = likely.best.map((b) => b.p);
  const wrong = lacking === undefined ? wrongOf(first, table) : table.wrongLack;
  const among = p1 + p2 + p3;
  const ours = 1 - likely.none;
  return {
    tell: Math.max(0, ours - (lacking ?? p1)) * wrong + likely.none * Math.min(wrong, table.known),
    offer:
      among * table.ask + Math.max(0, ours - among) * table.missed + likely.none * table.pester,
    person: ours * table.person,
  };
}

/** Decides what to do about a message. Never throws. */
export function choose(matcher: Matcher, said: Said): Choice {
  const { van, context } = said;
  const m = meant(matcher, said.text, van, context);
  const danger = weighed(matcher, van, said.danger, m);
  const why = explain(matcher, m, danger);
  const marks: Marks = {
    doubt: danger.verdict === "doubt",
    why,
    ...(danger.id && danger.verdict !== "none" ? { danger: danger.id } : {}),
    ...(danger.lang ? { lang: danger.lang } : {}),
  };
  const entries = m.likely.best
    .slice(0, 3)
    .map(({ item, p }) => ({ id: matcher.items[item]?.id ?? "", p: round(p) }));
  if (danger.verdict === "danger" && danger.id) {
    const id = danger.id;
    return {
      outcome: "triage",
      entries: [{ id, p: 0.99 }, ...entries.filter((e) => e.id !== id)].slice(0, 3),
      answered: 1,
      ...marks,
    };
  }
  return (
    fromScreen(matcher, said, marks) ??
    onlyCourtesy(matcher, said.text, m, marks) ??
    severalMatters(matcher, said, m, marks) ??
    oneMatter(matcher, said, m, marks)
  );
}

/** Meanings of which a message may consist without asking anything. */
const courtesies = new Set([
  "thanks-said",
  "greeting-said",
  "goodbye-said",
  "ok-said",
  "sorry-said",
  "praise-said",
]);
const longestCourtesy = 8;

/** Thanks, a greeting, a "right so" and nothing else: "kettle ok?" asks about the kettle. */
function onlyCourtesy(matcher: Matcher, text: string, m: Meant, marks: Marks): Choice | undefined {
  const { lexicon } = matcher.index;
  const { tokens } = read(lexicon, text);
  const rare = tokens.filter(
    (t) => !lexicon.analyser.stopWords.has(t.word) && coveredBy(lexicon, [t], courtesies) === 0,
  );
  if (
    tokens.length === 0 ||
    tokens.length > longestCourtesy ||
    rare.length > (asksOutright(text) ? 0 : 1) ||
    coveredBy(lexicon, tokens, courtesies) * 2 < tokens.length - rare.length
  )
    return undefined;
  if (coveredBy(lexicon, tokens, courtesies) === 0) return undefined;
  let best: { id: string; z: number } | undefined;
  for (const [i, item] of matcher.items.entries()) {
    const z = m.ranking.z[i] ?? 0;
    if (matcher.book.entries.get(item.id)?.kind === "courtesy" && (!best || z > best.z))
      best = { id: item.id, z };
  }
  return best && { outcome: "courtesy", entries: [{ id: best.id, p: 0.9 }], answered: 0, ...marks };
}

/** The words pick, or turn down, what stands on the screen. */
function fromScreen(
  matcher: Matcher,
  { text, van, context }: Said,
  marks: Marks,
): Choice | undefined {
  const offered = (context?.offered ?? []).filter((id) => matcher.book.entries.has(id));
  if (offered.length === 0) return undefined;
  const id = picked(text, offered);
  const entry = matcher.book.entries.get(id ?? "");
  if (id && entry) {
    marks.why.because.push(`picks ${id} from the screen`);
    return { entries: [{ id, p: 0.97 }], ...marks, ...tellFirst(entry, van) };
  }
  const told = context?.lastEntries[0];
  const left = offered.filter((o) => o !== told);
  if (!told || !offered.includes(told) || !onlyTurnsDown(text)) return undefined;
  const [only] = left;
  const other = matcher.book.entries.get(only ?? "");
  marks.why.because.push(`turns down ${told}`);
  if (left.length === 1 && only && other)
    return { entries: [{ id: only, p: 0.9 }], ...marks, ...tellFirst(other, van) };
  return {
    outcome: "choices",
    entries: left.slice(0, 3).map((o) => ({ id: o, p: round(1 / left.length) })),
    answered: 0,
    ...marks,
  };
}

/**
 * Two clear matters in one message: both are told, the worse first. A trouble that a clause of its own tells is
 * one beside whatever else was read.
 */
function severalMatters(matcher: Matcher, said: Said, m: Meant, marks: Marks): Choice | undefined {
  const found = mattersOf(matcher, said.van, m);
  const top = entryOf(matcher, m.likely.best[0]?.item);
  if (found.length > 1 && found.some((f) => f.entry.id === top?.id)) return several(found, marks);
  if (!found.some((f) => f.own)) return undefined;
  const one = oneMatter(matcher, said, m, marks);
  const sure = one.entries.slice(0, one.answered).flatMap(({ id, p }): Matter[] => {
    const entry = matcher.book.entries.get(id);
    return entry ? [{ entry, p, i: -1, own: false, near: [] }] : [];
  });
  const own = found.filter((f) => f.own && !isSaidBetter(f, sure));
  const others = sure.filter((s) => !own.some((f) => f.entry === s.entry));
  const all = inOrder([...others, ...own]);
  if (all.length > 1) return several(all, marks) ?? one;
  return one.answered > 0 ? one : several(found, marks);
}

/** The matters as a choice: two at most are told; undefined where these are one matter after all. */
function several(found: readonly Matter[], marks: Marks): Choice | undefined {
  const told = found.slice(0, 2);
  const [first, next] = told;
  if (!first || (next && twins(first.entry, next.entry))) return undefined;
  marks.why.because.push(`matters: ${told.map((t) => t.entry.id).join(", ")}`);
  return {
    outcome: first.entry.kind === "answer" ? "answer" : "triage",
    entries: found.slice(0, 3).map((f) => ({ id: f.entry.id, p: round(f.p) })),
    answered: next ? 2 : 1,
    ...marks,
  };
}

/** One matter: tell, offer or hand over, whichever costs least. */
function oneMatter(matcher: Matcher, said: Said, m: Meant, marks: Marks): Choice {
  const { book } = matcher;
  const likely = withoutCourtesy(matcher, m);
  const entries: Shown[] = likely.best
    .slice(0, 3)
    .map(({ item, p }) => ({ id: matcher.items[item]?.id ?? "", p: round(p) }));
  const first = book.entries.get(entries[0]?.id ?? "");
  const feature = featureNamed(book, m.ranking.reading, said.van);
  if (feature && (entries[0]?.p ?? 0) < second.asked)
    return { outcome: "lacks", entries, answered: 0, lacks: feature, ...marks };
  if (!first) return { outcome: "person", entries: [], answered: 0, ...marks };
  const pair = lightAndEffect(matcher, likely);
  if (pair) return { outcome: "triage", entries: pair, answered: 2, ...marks };
  const price = priced(likely, first, lackingLike(matcher, likely, first, said.van), costs);
  Object.assign(
    marks.why.costs,
    Object.fromEntries(Object.entries(price).map(([k, v]) => [k, round(v)])),
  );
  if (price.person <= price.tell && price.person <= price.offer)
    return { outcome: "person", entries, answered: 0, ...marks };
  if (price.offer < price.tell) return offer(matcher, said.van, likely, marks);
  return { entries, ...marks, ...tellFirst(first, said.van) };
}

/** How likely a message is about the thing of the first entry that the van has not, whichever entry of it is meant: "no toilet" answers them all. */
function lackingLike(
  matcher: Matcher,
  likely: Likelihood,
  first: Entry,
  van: VanType,
): number | undefined {
  if (concerns(first, van)) return undefined;
  const alike = likely.best.filter(({ item }) => {
    const entry = entryOf(matcher, item);
    if (!entry || concerns(entry, van)) return false;
    return entry === first || entry.needs.some((feature) => first.needs.includes(feature));
  });
  return alike.reduce((sum, { p }) => sum + p, 0);
}

/** Thanks or a greeting beside a question is not what the message is about. */
function withoutCourtesy(matcher: Matcher, m: Meant): Likelihood {
  if (entryOf(matcher, m.likely.best[0]?.item)?.kind !== "courtesy") return m.likely;
  const other = m.parts.find(
    (p) =>
      (p.likely.best[0]?.p ?? 0) > 0.4 &&
      entryOf(matcher, p.likely.best[0]?.item)?.kind !== "courtesy",
  );
  return other ? other.likely : m.likely;
}

/** A choice shows what this van has; what it has not comes last, and only if nothing else is likely. */
function offer(matcher: Matcher, van: VanType, likely: Likelihood, marks: Marks): Choice {
  const suits = (item: number) => {
    const entry = entryOf(matcher, item);
    return entry !== undefined && entry.kind !== "courtesy" && concerns(entry, van);
  };
  const shown = [
    ...likely.best.filter((b) => suits(b.item)),
    ...likely.best.filter((b) => !suits(b.item)),
  ].slice(0, 3);
  return {
    outcome: "choices",
    entries: shown.map(({ item, p }) => ({ id: matcher.items[item]?.id ?? "", p: round(p) })),
    answered: 0,
    ...marks,
  };
}

/** A light named together with an effect felt: both are told, the worse first. */
function lightAndEffect(matcher: Matcher, likely: Likelihood): Shown[] | undefined {
  const [a, b] = likely.best;
  const one = entryOf(matcher, a?.item);
  const two = entryOf(matcher, b?.item);
  if (!a || !b || !one || !two || b.p < second.effect || a.p + b.p < second.both) return undefined;
  const kinds = [one.kind, two.kind].sort().join(" ");
  if (kinds !== "fault light") return undefined;
  return [
    { e: one, p: a.p },
    { e: two, p: b.p },
  ]
    .sort((x, y) => gravityOf(x.e) - gravityOf(y.e) || y.p - x.p)
    .map(({ e, p }) => ({ id: e.id, p: round(p) }));
}

function tellFirst(first: Entry, van: VanType): Pick<Choice, "outcome" | "answered" | "lacks"> {
  if (!concerns(first, van)) return { outcome: "lacks", answered: 0, lacks: first.id };
  if (first.kind === "courtesy") return { outcome: "courtesy", answered: 0 };
  return { outcome: first.kind === "answer" ? "answer" : "triage", answered: 1 };
}

/** A choice as the reason of the step that acted on it; it is stored, and read by takenFor alone. */
export const sayChoice = ({ outcome, entries }: Pick<Choice, "outcome" | "entries">): Reason =>
  `${outcome}: ${entries.map((e) => `${e.id} ${e.p.toFixed(2)}`).join(", ")}`;

const taken = new RegExp(`^(${outcomes.join("|")}): (.*)$`);

/** What a message in words was taken for, and the entries named, best first; undefined where no choice was acted on. */
export function takenFor(
  because: readonly Reason[],
): { outcome: Outcome; entries: string[] } | undefined {
  for (const reason of because) {
    const [, outcome, list = ""] = taken.exec(reason) ?? [];
    if (outcome !== undefined)
      return {
        outcome: outcome as Outcome,
        entries: list.split(", ").flatMap((one) => one.split(" ")[0] || []),
      };
  }
  return undefined;
}
