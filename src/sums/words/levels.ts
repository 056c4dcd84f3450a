/** The level of a tank now and at pick-up, told apart by the words beside each. Pure. */

import type { Quantity } from "./quantities.js";
import { type Asked, of } from "./say.js";

/** `readOn`: the day of a level now that was not said. `unclear`: two were said, and nothing tells which is which. */
type Levels = { now?: number; then?: number; readOn?: string; unclear?: true };
type When = "now" | "then";

const either: [When, string][] = [
  ["now", "now|currently|today|at the moment|remaining"],
  [
    "then",
    "pick(?:ed|ing)?[ -]?(?:(?:it|her|the van) )?up|collect(?:ed)?|got (?:it|her|the van)|at (?:the )?start|when we",
  ],
];
const words = (all: [When, string][]) =>
  all.map(([when, source]) => [when, new RegExp(`\\b(?:${source})\\b`, "g")] as const);
const before = words([
  ...either,
  ["now", "(?:it's|it is|is|are|we're|down) (?:at|on|to)|it's|shows?|reads?"],
  ["then", "was|were|had|left|came|started|began"],
]);
const after = words([...either, ["now", "left"]]);
/** Where another thing is said. */
const ends = /[.,;!?]| (?:and|but) /;

/** Of which time the words beside a level speak: the mark that stands nearest to it. */
function when(asked: Asked, q: Quantity): When | undefined {
  const shares = of(asked, "share");
  const end = q.at + q.said.length;
  const last = shares.findLast((o) => o.at < q.at);
  const next = shares.find((o) => o.at > q.at);
  const left = asked.text.slice(last ? last.at + last.said.length : 0, q.at).split(ends);
  const right = asked.text.slice(end, next?.at).split(ends);
  const lead = left.at(-1) ?? "";
  const trail = right[0] ?? "";
  const near = [
    ...before.flatMap(([of, mark]) =>
      [...lead.matchAll(mark)].map((m) => ({ of, far: lead.length - m.index - m[0].length })),
    ),
    ...after.flatMap(([of, mark]) => [...trail.matchAll(mark)].map((m) => ({ of, far: m.index }))),
  ];
  return near.sort((a, b) => a.far - b.far || Number(a.of === "now") - Number(b.of === "now"))[0]
    ?.of;
}

/** Two levels without a mark: the one of the record is that of pick-up; "from half to full" ends at it. */
function unmarked(asked: Asked, [a, b]: readonly Quantity[], record?: number): Levels {
  if (!a || !b) return { unclear: true };
  const [low, high] = [Math.min(a.value, b.value), Math.max(a.value, b.value)];
  const between = asked.text.slice(a.at + a.said.length, b.at);
  if (/\bfrom (?:an? )?$/.test(asked.text.slice(0, a.at)) && /^ (?:up |down )?to\b/.test(between))
    return { now: low, then: high };
  const known = [a, b].filter((q) => record !== undefined && Math.abs(q.value - record) < 0.02);
  const [then] = known;
  if (known.length !== 1 || !then) return { unclear: true };
  return { now: then === a ? b.value : a.value, then: then.value };
}

/** The level now and at pick-up: as said ("now half, full at pick-up"), else from the readings. */
export function levels(asked: Asked, tank: "fluid" | "fuel"): Levels {
  const shares = of(asked, "share");
  const record = asked.pickup?.[tank];
  const then = shares.find((q) => when(asked, q) === "then");
  const now =
    shares.find((q) => q !== then && when(asked, q) === "now") ??
    (then || shares.length === 1 ? shares.find((q) => q !== then) : undefined);
  if (shares.length > 1 && !then && !now) return unmarked(asked, shares, record);
  const other = then ?? shares.find((q) => q !== now);
  const [level, was] = [now?.value ?? asked.latest?.[tank], other?.value ?? record];
  const readOn = now ? undefined : asked.readOn?.[tank];
  return {
    ...(level === undefined ? {} : { now: level }),
    ...(was === undefined ? {} : { then: was }),
    ...(level === undefined || readOn === undefined ? {} : { readOn }),
  };
}

/** Where a level is one that is to be reached or kept. */
const goalBefore =
  /\b(?:keep\w*|until|till|leav(?:e|ing)|above|reserve)\b[^.,;\d]{0,15}$|\bfrom [^.,;]{1,20} (?:down )?to (?:an? )?$/;
const goalAfter = /^ ?(?:in |as |to |for )?(?:reserve|spare)\b/;

/** The level of now: the one that is said to be so; else of several the lowest, for the safe side. */
export function levelNow(asked: Asked): Quantity | undefined {
  const all = of(asked, "share");
  const isGoal = (q: Quantity) =>
    goalBefore.test(asked.text.slice(0, q.at)) || goalAfter.test(asked.text.slice(q.end));
  const had = all.filter((q) => !isGoal(q));
  const open = had.filter((q) => when(asked, q) !== "then");
  const some = [open, had].find((levels) => levels.length > 0) ?? all;
  return (
    open.find((q) => when(asked, q) === "now") ?? [...some].sort((a, b) => a.value - b.value)[0]
  );
}
