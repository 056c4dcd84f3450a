/** Judges what was decided about a message against what was wanted. */
import { understand } from "../../src/hires/understand.js";
import type { Entry } from "../../src/knowledge/book.js";
import type { Choice } from "../../src/matching/choose.js";
import type { Matcher } from "../../src/matching/matcher.js";
import { type Severity, severities } from "../../src/severity.js";
import { severityNow } from "../../src/triage/lights.js";
import type { Sample } from "./messages.js";

export type Verdict = {
  sample: Sample;
  choice: Choice;
  ms: number;
  /** First entry right (for what the van lacks and courtesies: the outcome too). */
  first: boolean;
  /** A right entry told or offered. */
  shown: boolean;
  direct: boolean;
  /** Told at once: right, or wrong. */
  directRight: boolean;
  directWrong: boolean;
  danger: "danger" | "doubt" | "none";
  severity: "understated" | "overstated" | "same" | undefined;
  area: string;
};

const orNone: readonly (Severity | null)[] = [...severities, null];
/** What is in scope: it has an answer, or a thing that the van has not. */
export const inScope = (s: Sample): boolean =>
  s.kind !== "out" && s.kind !== "courtesy" && !(s.kind === "decoy" && s.want.length === 0);

/** A fault that is a danger under another name counts as that danger. */
export function sameEntry(matcher: Matcher, id: string): string {
  const entry = matcher.book.entries.get(id);
  return entry?.kind === "fault" && entry.sameAs ? entry.sameAs : id;
}

function worst(entries: readonly Entry[], text: string): Severity | null {
  const found = entries.map((e) => severityNow(e, text));
  return orNone.find((s) => found.includes(s)) ?? null;
}

function severityOf(matcher: Matcher, sample: Sample, choice: Choice): Verdict["severity"] {
  if (sample.kind !== "light" && sample.kind !== "fault") return undefined;
  const entries = (ids: readonly string[]) =>
    ids.flatMap((id) => matcher.book.entries.get(id) ?? []);
  const wanted = worst(entries(sample.want), sample.text);
  if (choice.doubt) return "overstated";
  const told = entries(choice.entries.slice(0, choice.answered).map((e) => e.id));
  // Nothing told: asked back or handed over, which overstates and understates nothing.
  if (told.length === 0) return undefined;
  const by = orNone.indexOf(worst(told, sample.text)) - orNone.indexOf(wanted);
  return by > 0 ? "understated" : by < 0 ? "overstated" : "same";
}

/** Puts a message to the service as a fresh talk, or after what was told. */
export function judge(matcher: Matcher, sample: Sample): Verdict {
  const van = matcher.book.vans.get(sample.van);
  if (!van) throw new Error(`${sample.id}: unknown van "${sample.van}"`);
  const context = { lastEntries: sample.after ?? [] };
  const started = performance.now();
  const choice = understand(matcher, {
    text: sample.text,
    van,
    context,
    ...(sample.lang ? { lang: sample.lang } : {}),
  });
  const ms = performance.now() - started;
  const want = new Set(sample.want.map((id) => sameEntry(matcher, id)));
  const ids = choice.entries.map((e) => sameEntry(matcher, e.id));
  const isLack = sample.kind === "lacks";
  const lackRight =
    choice.outcome === "lacks" &&
    (sample.want.length === 0 ||
      want.has(sameEntry(matcher, choice.lacks ?? "")) ||
      want.has(ids[0] ?? ""));
  const first = isLack
    ? lackRight
    : sample.kind === "courtesy"
      ? choice.outcome === "courtesy"
      : want.has(ids[0] ?? "");
  const direct =
    choice.outcome === "answer" || choice.outcome === "triage" || choice.outcome === "lacks";
  const told = ids.slice(0, Math.max(1, choice.answered));
  const toldRight = isLack
    ? lackRight
    : direct && choice.outcome !== "lacks" && told.some((id) => want.has(id));
  const life =
    choice.outcome === "triage" && matcher.book.entries.get(ids[0] ?? "")?.kind === "danger";
  const entry = matcher.book.entries.get(sample.want[0] ?? "");
  return {
    sample,
    choice,
    ms,
    first,
    direct,
    shown: toldRight || (choice.outcome === "choices" && ids.some((id) => want.has(id))),
    directRight: direct && toldRight,
    directWrong: direct && !toldRight,
    danger: life ? "danger" : choice.doubt ? "doubt" : "none",
    severity: severityOf(matcher, sample, choice),
    area: entry?.kind === "answer" ? entry.area : (entry?.kind ?? sample.kind),
  };
}
