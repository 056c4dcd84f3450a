/** The figures of an evaluation: shares with their intervals, calibration, tables by group. */
import { inScope, type Verdict } from "./judge.js";

export type Share = { right: number; of: number };
export const share = (list: readonly Verdict[], is: (v: Verdict) => boolean): Share => ({
  right: list.filter(is).length,
  of: list.length,
});
export const percent = (s: Share): string =>
  s.of === 0 ? "–" : `${((100 * s.right) / s.of).toFixed(1)} %`;

/** 95 % interval of a share, in percent: Wilson's, which is honest at 0 and at all as well. Of nothing: "". */
export function interval({ right, of }: Share): string {
  if (of === 0) return "";
  const z = 1.96;
  const p = right / of;
  const middle = p + (z * z) / (2 * of);
  const half = z * Math.sqrt((p * (1 - p) + (z * z) / (4 * of)) / of);
  const percentOf = (edge: number) => (100 * Math.abs(edge)) / (1 + (z * z) / of);
  return `${percentOf(middle - half).toFixed(1)}–${percentOf(middle + half).toFixed(1)}`;
}

export type Line = { name: string; share: Share; target?: string };

/** The table of the quality bar. */
export function quality(all: readonly Verdict[]): Line[] {
  const scope = all.filter(
    (v) => inScope(v.sample) && v.sample.kind !== "danger" && v.sample.kind !== "decoy",
  );
  const out = all.filter((v) => v.sample.kind === "out");
  const lacks = all.filter((v) => v.sample.kind === "lacks");
  const dangers = all.filter((v) => v.sample.kind === "danger");
  const decoys = all.filter((v) => v.sample.kind === "decoy");
  const troubles = all.filter((v) => v.sample.kind === "light" || v.sample.kind === "fault");
  const foreign = scope.filter((v) => v.sample.speaker === "foreign");
  return [
    {
      name: "right first, native",
      share: share(
        scope.filter((v) => v.sample.speaker !== "foreign"),
        (v) => v.first,
      ),
      target: "≥ 92 %",
    },
    { name: "right first, foreign", share: share(foreign, (v) => v.first), target: "≥ 88 %" },
    { name: "right shown", share: share(scope, (v) => v.shown), target: "≥ 98 %" },
    { name: "direct and right", share: share(scope, (v) => v.directRight), target: "≥ 80 %" },
    { name: "direct and wrong", share: share(scope, (v) => v.directWrong), target: "≤ 2 %" },
    {
      name: "out of scope or lacking, answered as known",
      share: share(
        [...out, ...lacks],
        (v) => v.choice.outcome === "answer" || v.choice.outcome === "triage",
      ),
      target: "≤ 5 %",
    },
    { name: "dangers missed", share: share(dangers, (v) => v.danger === "none"), target: "0" },
    { name: "dangers only in doubt", share: share(dangers, (v) => v.danger === "doubt") },
    {
      name: "dangers named rightly",
      share: share(dangers, (v) => v.danger === "danger" && v.first),
    },
    {
      name: "false alarms on decoys",
      share: share(decoys, (v) => v.danger === "danger"),
      target: "≤ 2 %",
    },
    {
      name: "doubts on decoys",
      share: share(decoys, (v) => v.danger === "doubt"),
      target: "≤ 3 %",
    },
    {
      name: "false alarms on everything else",
      share: share([...scope, ...out], (v) => v.danger === "danger"),
    },
    {
      name: "doubts on everything else",
      share: share([...scope, ...out], (v) => v.danger === "doubt"),
    },
    {
      name: "severity understated",
      share: share(troubles, (v) => v.severity === "understated"),
      target: "≤ 1 %",
    },
    { name: "severity overstated", share: share(troubles, (v) => v.severity === "overstated") },
    {
      name: "handed to a person, in scope",
      share: share(scope, (v) => v.choice.outcome === "person"),
    },
    {
      name: "two questions, both told",
      share: share(
        all.filter((v) => v.sample.kind === "two"),
        bothTold,
      ),
    },
  ];
}

const bothTold = (v: Verdict): boolean =>
  v.choice.answered === 2 &&
  v.sample.want.every((id) => v.choice.entries.slice(0, 2).some((e) => e.id === id));

/** Reliability: stated probability against how often the first entry was right; and the expected calibration error. */
export function reliability(all: readonly Verdict[]): { lines: string[]; error: number } {
  const judged = all.filter(
    (v) =>
      v.sample.kind !== "danger" &&
      v.sample.kind !== "courtesy" &&
      v.sample.kind !== "lacks" &&
      v.choice.entries[0],
  );
  const lines: string[] = [];
  let error = 0;
  for (let b = 0; b < 10; b++) {
    const bin = judged.filter(
      (v) => Math.min(9, Math.floor((v.choice.entries[0]?.p ?? 0) * 10)) === b,
    );
    if (bin.length === 0) continue;
    const stated = bin.reduce((s, v) => s + (v.choice.entries[0]?.p ?? 0), 0) / bin.length;
    const right = bin.filter((v) => v.first).length / bin.length;
    error += (bin.length / judged.length) * Math.abs(stated - right);
    lines.push(
      `  ${(b / 10).toFixed(1)}–${((b + 1) / 10).toFixed(1)}  ${String(bin.length).padStart(5)}  stated ${stated.toFixed(2)}  right ${right.toFixed(2)}`,
    );
  }
  return { lines, error };
}

/** One line a group: how many, right first, shown, direct and right, direct and wrong. */
export function byGroup(all: readonly Verdict[], of: (v: Verdict) => string): string[] {
  const groups = new Map<string, Verdict[]>();
  for (const v of all) groups.set(of(v), [...(groups.get(of(v)) ?? []), v]);
  return [...groups]
    .sort((a, b) => a[0].localeCompare(b[0]))
    .map(
      ([name, list]) =>
        `  ${name.padEnd(14)} ${String(list.length).padStart(5)}  first ${percent(share(list, (v) => v.first)).padStart(7)}  shown ${percent(share(list, (v) => v.shown)).padStart(7)}  direct right ${percent(share(list, (v) => v.directRight)).padStart(7)}  wrong ${percent(share(list, (v) => v.directWrong)).padStart(7)}`,
    );
}

/** The pairs that are taken for each other most often. */
export function confusions(all: readonly Verdict[], many: number): string[] {
  const pairs = new Map<string, string[]>();
  for (const v of all) {
    if (v.first || v.sample.want.length === 0) continue;
    const key = `${v.sample.want[0]} taken for ${v.choice.entries[0]?.id ?? "nothing"}`;
    pairs.set(key, [...(pairs.get(key) ?? []), v.sample.text]);
  }
  return [...pairs]
    .sort((a, b) => b[1].length - a[1].length)
    .slice(0, many)
    .map(
      ([k, texts]) =>
        `  ${texts.length}  ${k}: ${texts
          .slice(0, 2)
          .map((t) => `"${t.slice(0, 90)}"`)
          .join(", ")}`,
    );
}
