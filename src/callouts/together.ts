/** Matters that one person of a hire has open together: what is asked of that person is asked once for all of them. Pure. */
import { after, type Instant, minuteMs } from "../calendar.js";
import { gravity } from "../severity.js";
import type { Callout } from "./callout.js";
import type { Told } from "./steps.js";

/** Opened within so many minutes of each other, two matters have the same place and the same people in need. */
const sameStopMin = 30;
/** Signs of life that are awaited within so many minutes of each other are one question. */
const sameLookMin = 5;

/** The open matters that this person raised. */
export const openBy = (all: readonly Callout[], person: string): Callout[] =>
  all.filter((c) => c.state !== "done" && c.person === person);

/** The other lights and faults for which this person's van stands where it stands for this one. */
export const sameStop = (all: readonly Callout[], c: Callout): Callout[] =>
  openBy(all, c.person).filter(
    (o) =>
      o.n !== c.n &&
      o.severity === "stop" &&
      (o.kind === "light" || o.kind === "fault") &&
      Math.abs(o.openedAt - c.openedAt) <= sameStopMin * minuteMs,
  );

/** What is known of place and need from those matters. */
export function toldOfStop(others: readonly Callout[]): Told {
  const safe = others.findLast((o) => o.placeSafe !== undefined)?.placeSafe;
  const needs = [...new Set(others.flatMap((o) => o.needs ?? []))];
  return safe === undefined ? { needs } : { needs, safe };
}

export const worstFirst = (all: readonly Callout[]): Callout[] =>
  [...all].sort((a, b) => gravity(a.severity) - gravity(b.severity));

/** Those for which a sign of life is due by now or in a moment, the worst first. */
export const sameSilence = (all: readonly Callout[], now: Instant): Callout[] =>
  worstFirst(
    all.filter(
      (o) =>
        o.state !== "done" && (o.hearFromBy ?? Number.POSITIVE_INFINITY) <= after(now, sameLookMin),
    ),
  );

/** The titles of several matters, as one reads them. */
export const titles = (all: readonly Callout[]): string => all.map((c) => c.title).join(" and ");
