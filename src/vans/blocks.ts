/** What keeps a van from going out, and what a release covers. Pure. */
import { type Instant, instantOf } from "../calendar.js";
import { gravity, isGrave } from "../severity.js";
import type { Release, Van, VanAct, VanFault } from "./van.js";

/** A hire of this van that should be back and has no return record. */
export type NotBack = { hire: string; surname: string };

/** `key` names it in a release: "fault:<n>" or "return:<hire>". */
export type Block =
  | { key: string; kind: "fault"; fault: VanFault }
  | { key: string; kind: "not-back"; hire: string; surname: string };

export const isOpen = (fault: VanFault): boolean => fault.cleared === undefined;

/** The faults that nobody cleared, the worst first, then the latest. */
export const openFaults = (van: Van): VanFault[] =>
  van.faults.filter(isOpen).sort((a, b) => gravity(a.severity) - gravity(b.severity) || b.n - a.n);

/** When a fault was last reported; 0: never. */
export const lastAt = (fault: VanFault): Instant => fault.reports.at(-1)?.at ?? instantOf(0);

/** A release holds for what its author saw: a report that came later blocks again. */
const covers = (release: Release, key: string, since: number): boolean =>
  release.covers.includes(key) && (release.seen ?? release.at) >= since;

/** Whether what an act releases or clears was reported again since its author looked. */
export function isOvertaken(van: Van, act: VanAct): boolean {
  if ((act.do !== "clear" && act.do !== "release") || act.seen === undefined) return false;
  const { seen } = act;
  const of = (f: VanFault) =>
    act.do === "clear" ? f.n === act.fault : act.covers.includes(`fault:${f.n}`);
  return van.faults.some((f) => of(f) && isOpen(f) && lastAt(f) > seen);
}

/** The release by which an open fault goes out all the same, if there is one that still holds. */
export const releaseOf = (van: Van, fault: VanFault): Release | undefined =>
  van.releases.findLast((release) => covers(release, `fault:${fault.n}`, lastAt(fault)));

/** Whether an open fault of the van is of `stop` or worse and no release of it holds. */
export const holdsBack = (van: Van, fault: VanFault): boolean =>
  isOpen(fault) && isGrave(fault.severity) && releaseOf(van, fault) === undefined;

/**
 * What blocks the van: each open fault of `stop` or worse and each hire without a return record, unless a
 * named person released it since. Empty: nothing does.
 */
export function blocksOf(van: Van, notBack: readonly NotBack[]): Block[] {
  const faults = openFaults(van)
    .filter((fault) => holdsBack(van, fault))
    .map((fault): Block => ({ key: `fault:${fault.n}`, kind: "fault", fault }));
  const missing = notBack
    .map(({ hire, surname }): Block => ({ key: `return:${hire}`, kind: "not-back", hire, surname }))
    .filter(({ key }) => !van.releases.some((release) => covers(release, key, 0)));
  return [...faults, ...missing];
}
