/** From a message to one act: the act with the least expected cost. Pure. */
import { concerns, type Entry } from "../knowledge/book.js";
import type { VanType } from "../knowledge/placeholders.js";
import { type Likelihood, likelihood } from "./calibrate.js";
import { type Costs, costs, dangerScale } from "./costs.js";
import type { Matcher } from "./matcher.js";
import { rank, type Ranking } from "./rank.js";
import type { DangerVerdict } from "./words.js";

export type Outcome = "answer" | "choices" | "triage" | "lacks" | "courtesy" | "person";
/** Where the talk stands: the last entries told, the newest first, and the choices on the screen. */
export type Context = { lastEntries: readonly string[]; offered?: readonly string[] };
export type Said = { text: string; van: VanType; lang?: string; context?: Context; danger: DangerVerdict };
/** Why it was decided so; shown at the desk and under `why` in `ask --json`. */
export type Why = {
  words: string[];
  corrected: string[];
  asks: { id: string; p: number; bm: number; model: number }[];
  none: number;
  cover: number;
  costs: Record<string, number>;
  because: string[];
};
export type Choice = {
  outcome: Outcome;
  /** Up to three, best first. */
  entries: { id: string; p: number }[];
  /** How many leading entries are told in full. */
  answered: 0 | 1 | 2;
  /** The entry that is about what this van has not. */
  lacks?: string;
  /** Whether the emergency number and the one question must come with it. */
  doubt: boolean;
  /** The danger that was read or feared. */
  danger?: string;
  why: Why;
};

const round = (n: number) => Math.round(n * 1000) / 1000;

function explain(matcher: Matcher, ranking: Ranking, likely: Likelihood, because: string[]): Why {
  return {
    words: ranking.reading.tokens.map((t) => t.word),
    corrected: ranking.reading.tokens.filter((t) => t.typed !== t.word).map((t) => `${t.typed} → ${t.word}`),
    asks: likely.best.slice(0, 5).map(({ item, p }) => ({
      id: matcher.items[item]?.id ?? "", p: round(p), bm: round(ranking.bm[item] ?? 0), model: round(ranking.model[item] ?? 0),
    })),
    none: round(likely.none),
    cover: round(likely.cover),
    costs: {},
    because: [...because],
  };
}

/** What each act would cost, in expectation. */
function priced(likely: Likelihood, first: Entry, table: Costs): Record<"tell" | "offer" | "person", number> {
  const [p1 = 0, p2 = 0, p3 = 0] = likely.best.map((b) => b.p);
  const wrong = first.kind === "light" || first.kind === "fault" ? table.wrongTrouble : table.wrong;
  const among = p1 + p2 + p3;
  const inScope = 1 - likely.none;
  return {
    tell: Math.max(0, inScope - p1) * wrong + likely.none * table.known,
    offer: among * table.ask + Math.max(0, inScope - among) * table.missed + likely.none * table.pester,
    person: inScope * table.person,
  };
}

/**
 * The danger layer's verdict, weighed with how likely the model holds any danger: log-odds added up. A sign
 * strong enough by itself never falls below a doubt.
 */
function weighed(matcher: Matcher, read: DangerVerdict, likely: Likelihood): DangerVerdict {
  const among = likely.best.filter((b) => isDanger(matcher, b.item));
  const p = among.reduce((sum, b) => sum + b.p, 0) / Math.max(1e-6, 1 - likely.none);
  const odds = Math.max(-8, Math.min(8, Math.log((p + 1e-4) / (1 - p + 1e-4))));
  const { sign, model, base, danger, doubt } = dangerScale;
  const total = sign * Math.min(6, read.weight ?? 0) + model * odds + base;
  const verdict = total >= danger ? "danger" : total >= doubt || read.verdict === "danger" ? "doubt" : "none";
  const id = read.verdict !== "none" ? read.id : (matcher.items[among[0]?.item ?? -1]?.id ?? read.id);
  const because = [...read.because, `danger ${round(total)} = ${sign}×signs ${round(read.weight ?? 0)} + ${model}×model ${round(odds)} ${base}`];
  return { verdict: id ? verdict : "none", because, ...(id ? { id } : {}) };
}

const isDanger = (matcher: Matcher, item: number): boolean => {
  const entry = matcher.book.entries.get(matcher.items[item]?.id ?? "");
  return entry?.kind === "danger";
};

/** Decides what to do about a message. Never throws. */
export function choose(matcher: Matcher, said: Said): Choice {
  const { book } = matcher;
  const ranking = rank(matcher.index, said.text);
  const likely = likelihood(matcher.index, ranking);
    const entries = likely.best.slice(0, 3).map(({ item, p }) => ({ id: matcher.items[item]?.id ?? "", p: round(p) }));
  const danger = weighed(matcher, said.danger, likely);
  const why = explain(matcher, ranking, likely, danger.because);
  const marks = { doubt: danger.verdict === "doubt", why, ...(danger.id ? { danger: danger.id } : {}) };
  if (danger.verdict === "danger" && danger.id) {
    const id = danger.id;
    return { outcome: "triage", entries: [{ id, p: 0.99 }, ...entries.filter((e) => e.id !== id)].slice(0, 3), answered: 1, ...marks };
  }
  const first = book.entries.get(entries[0]?.id ?? "");
  if (!first) return { outcome: "person", entries: [], answered: 0, ...marks };
  const price = priced(likely, first, costs);
  why.costs = Object.fromEntries(Object.entries(price).map(([k, v]) => [k, round(v)]));
  if (price.person <= price.tell && price.person <= price.offer) return { outcome: "person", entries, answered: 0, ...marks };
  if (price.offer < price.tell) return { outcome: "choices", entries, answered: 0, ...marks };
  return { ...tellFirst(first, said.van), entries, ...marks };
}

function tellFirst(first: Entry, van: VanType): Pick<Choice, "outcome" | "answered" | "lacks"> {
  if (!concerns(first, van)) return { outcome: "lacks", answered: 0, lacks: first.id };
  if (first.kind === "courtesy") return { outcome: "courtesy", answered: 0 };
  return { outcome: first.kind === "answer" ? "answer" : "triage", answered: 1 };
}
