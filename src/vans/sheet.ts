/** The return sheet as rows: one list for the page and for the file. Pure. */
import { clockOf, dayOf, type Instant, sayDay } from "../calendar.js";
import { type HandoverFile, pointsFor } from "../knowledge/handover/points.js";
import { kmPerMile } from "../knowledge/measures/units.js";
import type { VanType } from "../knowledge/placeholders.js";
import type { OilMark, Reading } from "../post.js";
import { type Severity, severityWords } from "../severity.js";
import { owed } from "../sums/fluid.js";
import { openFaults } from "./blocks.js";
import type { Gas, Handover } from "./handover.js";
import type { Van } from "./van.js";

type Kept = Handover & { at: Instant; reading: Reading };
/** A van that was given up on the road: how it went out, and what was read of it until then, in order of time. */
export type GivenUp = {
  van: VanType;
  care: Van;
  pickup?: Kept;
  readings: readonly Reading[];
};
export type SheetFacts = {
  hire: string;
  van: VanType;
  care: Van;
  back: HandoverFile["back"];
  pickup?: Kept;
  returned?: Kept;
  /** In the order in which they were given up. */
  before: readonly GivenUp[];
  unit: "miles" | "km";
  zone: string;
  /** Reminders that wanted a reading, and what came of them. */
  checks: readonly { title: string; sentAt: Instant; answered: boolean }[];
  callouts: readonly {
    title: string;
    severity: Severity;
    openedAt: Instant;
    /** In words; absent while it is open. */
    outcome?: string;
  }[];
};
export type Section = "readings" | "owed" | "checks" | "reported" | "call-outs" | "to do";
/** Numbers stand in `unit`. Absent: not read, or nothing to say. */
export type Row = {
  section: Section;
  /** The van, where the row is about one; of one that was given up, `returned` is what was last read on the road. */
  registration?: string;
  /** Which of the vans `before` it is about. */
  before?: number;
  item: string;
  pickup?: number | string;
  returned?: number | string;
  difference?: number;
  unit?: string;
  note?: string;
};

const tenth = (n: number): number => Math.round(n * 10) / 10;
const marks: Record<OilMark, string> = {
  "above-max": "above top mark",
  max: "top mark",
  between: "between",
  low: "near bottom",
  min: "bottom mark",
  "below-min": "below, or dry",
};

function row(
  section: Section,
  item: string,
  [pickup, returned]: readonly [number | undefined, number | undefined],
  unit: string,
): Row {
  const both = pickup !== undefined && returned !== undefined;
  return {
    section,
    item,
    unit,
    ...(pickup === undefined ? {} : { pickup: tenth(pickup) }),
    ...(returned === undefined ? {} : { returned: tenth(returned) }),
    ...(both ? { difference: tenth(returned - pickup) } : {}),
  };
}

/** What a record read: all of it, or as little as is known from the road. */
type Known = { reading: Partial<Reading>; gas?: Gas; keys?: number };
type Both = { pickup?: Known; returned?: Known };
/** A value of both records. */
const pair = <V>({ pickup, returned }: Both, of: (record: Known) => V | undefined) =>
  [pickup && of(pickup), returned && of(returned)] as const;
const scaled = (
  [a, b]: readonly [number | undefined, number | undefined],
  by: number,
): [number | undefined, number | undefined] => [
  a === undefined ? undefined : a * by,
  b === undefined ? undefined : b * by,
];

function readings(facts: Both & Pick<SheetFacts, "van" | "unit">): Row[] {
  const { van, unit } = facts;
  const way = pair(facts, ({ reading: { odometerKm: km } }) =>
    km === undefined ? undefined : Math.round(unit === "km" ? km : km / kmPerMile),
  );
  const [oilOut, oilBack] = pair(facts, (r) => r.reading.oil);
  const level = (item: string, of: (r: Known) => number | undefined) =>
    row("readings", item, scaled(pair(facts, of), 100), "%");
  return [
    row("readings", "odometer", way, unit),
    level(van.fuel === "electric" ? "charge" : "fuel", (r) => r.reading.fuel),
    ...(van.has.includes("exhaust-fluid-tank")
      ? [level("exhaust fluid", (r) => r.reading.fluid)]
      : []),
    ...(van.has.includes("engine")
      ? [
          {
            section: "readings" as const,
            item: "oil",
            ...(oilOut === undefined ? {} : { pickup: marks[oilOut] }),
            ...(oilBack === undefined ? {} : { returned: marks[oilBack] }),
          },
        ]
      : []),
    ...(van.has.includes("fixed-gas")
      ? [
          row(
            "readings",
            "gas",
            pair(facts, (r) => r.gas?.kg),
            "kg",
          ),
          level("gas by level", (r) => r.gas?.share),
        ]
      : []),
    ...(van.has.includes("portable-stove")
      ? [
          row(
            "readings",
            "full cartridges",
            pair(facts, (r) => r.gas?.cartridges),
            "",
          ),
        ]
      : []),
    row(
      "readings",
      "keys",
      pair(facts, (r) => r.keys),
      "",
    ),
  ];
}

type Owed = { item: string; of: "fuel" | "fluid"; tank: number | undefined; unit: string };
const owable = ({ van }: SheetFacts): Owed[] =>
  van.fuel === "electric"
    ? [{ item: "charge", of: "fuel", tank: van.figures.driveKWh, unit: "kWh" }]
    : [
        { item: "fuel", of: "fuel", tank: van.figures.tankL, unit: "litres" },
        { item: "exhaust fluid", of: "fluid", tank: van.figures.exhaustFluidTankL, unit: "litres" },
      ];

/** What was to come back at the level of pick-up, with the figures that it was reckoned from. */
function owedRows(facts: SheetFacts): Row[] {
  return owable(facts).flatMap(({ item, of, tank, unit }): Row[] => {
    if (tank === undefined) return [];
    const [then, now] = pair(facts, (r) => r.reading[of]);
    const known = { section: "owed" as const, item, unit };
    if (then === undefined || now === undefined) {
      const missing = then === undefined ? "pick-up" : "return";
      return [{ ...known, note: `not known: it was not read at ${missing}` }];
    }
    const from = `from ${Math.round(now * 100)} % up to ${Math.round(then * 100)} %, the level of pick-up`;
    const difference = tenth(owed(now, then, tank));
    return [{ ...known, difference, note: `${from}; the tank holds ${tank} ${unit}` }];
  });
}

/** Reported of a van during this hire, or found at its return. */
function reported(
  care: Van,
  { hire, returned }: Pick<SheetFacts, "hire"> & { returned?: Kept },
): Row[] {
  return care.faults.flatMap((fault): Row[] => {
    const here = fault.reports.filter((r) => r.hire === hire);
    const found = returned?.faults.some((f) => f.title === fault.title) ?? false;
    if (here.length === 0 && !found) return [];
    const words = here.map((r) => r.words).filter(Boolean);
    const state = fault.cleared ? `cleared: ${fault.cleared.what}` : "open";
    const times =
      here.length > 1 ? `, ${here.length} times` : here.length === 0 ? ", at return" : "";
    return [
      {
        section: "reported",
        item: fault.title,
        note: `${severityWords[fault.severity]}${times}; ${state}${words.length > 0 ? `; said: ${words.join(" / ").slice(0, 300)}` : ""}`,
      },
    ];
  });
}

const todo = (item: string, note = ""): Row => ({
  section: "to do",
  item,
  ...(note ? { note } : {}),
});
const mend = (care: Van): Row[] =>
  openFaults(care).map((f) => todo(`Mend: ${f.title}`, severityWords[f.severity]));

/**
 * A van that was given up: how it was when last read, what was reported of it, and what it needs; the last two with the
 * last time that the hire had it.
 */
function givenUp(before: number, facts: SheetFacts): Row[] {
  const { hire, unit } = facts;
  const [given, ...later] = facts.before.slice(before);
  if (!given) return [];
  const { van, care, pickup, readings: read } = given;
  const { registration } = care;
  const isAgain = [...later, facts].some((v) => v.care.registration === registration);
  const last: Partial<Reading> = Object.assign({}, ...read);
  const both = { van, unit, returned: { reading: last }, ...(pickup ? { pickup } : {}) };
  const known = readings(both).filter((r) => r.pickup !== undefined || r.returned !== undefined);
  const rows = isAgain ? known : [...known, ...reported(care, { hire }), ...mend(care)];
  return rows.map((r) => ({ ...r, registration, before }));
}

const low: readonly (OilMark | undefined)[] = ["low", "min", "below-min"];

/** What is to be refilled, mended, replaced or done before the next hire. */
function toDo(facts: SheetFacts): Row[] {
  const { returned, van, care, pickup } = facts;
  const faults = mend(care);
  if (!returned) return faults;
  const { reading, gas } = returned;
  const refill = owedRows(facts).flatMap((r) =>
    r.difference ? [todo(`Refill: ${r.item}`, `${r.difference} ${r.unit}`)] : [],
  );
  const { gasKg, oilGrade } = van.figures;
  const gasLow =
    (gas?.share !== undefined && gas.share <= 0.25) ||
    (gas?.kg !== undefined && gasKg !== undefined && gas.kg <= gasKg / 4);
  const cartridges = (pickup?.gas?.cartridges ?? 0) - (gas?.cartridges ?? 0);
  const keys = (pickup?.keys ?? 0) - (returned.keys ?? pickup?.keys ?? 0);
  return [
    ...refill,
    ...(low.includes(reading.oil) ? [todo("Refill: oil", oilGrade ?? "")] : []),
    ...(reading.oil === "above-max"
      ? [todo("Oil: have the level put right", "above the top")]
      : []),
    ...(gasLow ? [todo("Refill: gas")] : []),
    ...(gas?.cartridges !== undefined && cartridges > 0
      ? [todo("Replace: gas cartridges", `${cartridges}`)]
      : []),
    ...returned.kit
      .filter((k) => k.found !== undefined && k.found < k.due)
      .map((k) => todo(`Replace: ${k.item}`, `${k.due - (k.found ?? 0)} of ${k.due} missing`)),
    ...(keys > 0 ? [todo("Replace: key", `${keys} did not come back`)] : []),
    ...faults,
    ...returned.photos.filter((p) => p.mark).map((p) => todo(`Mark, ${p.side}: ${p.mark ?? ""}`)),
    ...pointsFor(facts.back, van.has)
      .filter((p) => !returned.points.includes(p.id))
      .map((p) => todo(p.todo)),
  ];
}

/** All rows of the sheet, section by section. What was not read or recorded is said so, never guessed. */
export function sheetRows(facts: SheetFacts): Row[] {
  const { checks, callouts, zone, care, before } = facts;
  const own = (rows: readonly Row[]): Row[] =>
    rows.map((r) => ({ ...r, registration: care.registration }));
  return [
    ...own([...readings(facts), ...owedRows(facts)]),
    ...checks.map(
      (c): Row => ({
        section: "checks",
        item: c.title,
        note: `${c.answered ? "answered" : "not answered"}; asked ${sayDay(dayOf(c.sentAt, zone))}`,
      }),
    ),
    ...own(reported(care, facts)),
    ...callouts.map(
      (c): Row => ({
        section: "call-outs",
        item: c.title,
        note: `${severityWords[c.severity]}, ${sayDay(dayOf(c.openedAt, zone))} ${clockOf(c.openedAt, zone)}; ${c.outcome ?? "not ended"}`,
      }),
    ),
    ...own(toDo(facts)),
    ...before.flatMap((_van, i) => givenUp(i, facts)),
  ];
}
