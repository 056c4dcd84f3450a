/** What else a new wording would change: each message before and after, and whether that is worse. Pure. */
import { type Choice, understand } from "../hires/understand.js";
import { gravityOf } from "../knowledge/book.js";
import type { Matcher, Taught } from "../matching/matcher.js";
import { sameJson } from "../same-json.js";
import { severities } from "../severity.js";

/** What is done about a message: told, offered or handed over, and on which severity it acts. */
export type Verdict = {
  outcome: Choice["outcome"];
  /** Entries told, or offered. */
  entries: string[];
  /** Place in `severities`, 0 the gravest; their number where nothing is wrong. */
  gravity: number;
};
/** A message to look at. `want`: the entry that it is known to mean. */
export type Sample = { text: string; van: string; want?: string };
/** `unsafe`: a danger, or a doubt about one, that would no longer be met; never allowed. `worse`: not allowed unseen. */
export type Kind = "unsafe" | "worse" | "better" | "other";
export type Change = { text: string; want?: string; before: Verdict; after: Verdict; kind: Kind };

const quiet = severities.length;

/** Undefined where the book does not know the van. */
export function verdictOf(matcher: Matcher, { text, van }: Sample): Verdict | undefined {
  const { book } = matcher;
  const type = book.vans.get(van);
  if (!type) return undefined;
  const choice = understand(matcher, { text, van: type });
  const shown = choice.outcome === "choices" ? 3 : Math.max(choice.answered, 1);
  const entries =
    choice.outcome === "person" ? [] : choice.entries.slice(0, shown).map((e) => e.id);
  const told = choice.outcome === "triage" ? entries : [];
  const grave = told.map((id) => gravityOf(book.entries.get(id)));
  // In doubt the emergency number comes first, as in danger.
  const gravity = choice.doubt ? 0 : Math.min(quiet, ...grave);
  return { outcome: choice.outcome, entries, gravity };
}

/** How near a verdict comes to an entry: told alone, offered, or not at all. */
function hit({ outcome, entries }: Verdict, want: string): number {
  if (!entries.includes(want)) return 0;
  return outcome === "choices" ? 1 : entries[0] === want ? 3 : 2;
}
const helped = ({ outcome }: Verdict): number =>
  outcome === "person" ? 0 : outcome === "choices" ? 1 : 2;

function kindOf(before: Verdict, after: Verdict, want: string | undefined): Kind {
  const wanted = want === undefined ? 0 : hit(after, want) - hit(before, want);
  if (before.gravity === 0 && after.gravity > 0) return "unsafe";
  if (after.gravity > before.gravity && wanted <= 0) return "worse";
  if (want !== undefined && wanted !== 0) return wanted > 0 ? "better" : "worse";
  const more = helped(after) - helped(before);
  if (more < 0) return "worse";
  return more > 0 ? "better" : "other";
}

/** The change between two matchers for one message; undefined where nothing changes. */
export function changeOf(before: Matcher, after: Matcher, sample: Sample): Change | undefined {
  const [was, is] = [verdictOf(before, sample), verdictOf(after, sample)];
  if (!was || !is || sameJson(was, is)) return undefined;
  const { text, want } = sample;
  const kind = kindOf(was, is, want);
  return { text, ...(want === undefined ? {} : { want }), before: was, after: is, kind };
}

/** `looked`: so many samples of `of`, those most like the wording. */
export type Looked = { looked: number; of: number; changes: Change[] };
/** Asks that the model was trained without, put to it with and without a new wording. */
export type Trial = {
  /** A question is to come: it is answered sooner. */
  warm(): void;
  /** Undefined where it takes too long. @throws what broke the thread */
  ask(kept: readonly Taught[], fresh: Taught, most: number): Promise<Looked | undefined>;
  close(): Promise<void>;
};

const order: readonly Kind[] = ["unsafe", "worse", "other", "better"];
/** Those that need a look first. */
export const sorted = (changes: readonly Change[]): Change[] =>
  [...changes].sort((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind));
