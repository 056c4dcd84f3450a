/** What a record's form says: the record, or what is wrong with it and what must be looked at once more. Pure. */
import type { Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import type { Book } from "../../knowledge/book.js";
import { pointsFor } from "../../knowledge/handover/points.js";
import type { VanType } from "../../knowledge/placeholders.js";
import type { OilMark, Reading } from "../../post.js";
import { doubtAbout, inKm, type Unit } from "../../reminders/distance.js";
import { isGrave, severities } from "../../severity.js";
import type { PhotoRow } from "../../store/care/records.js";
import type { Gas, Handover, HandoverKind, RecordPhoto } from "../../vans/handover.js";

export type Fields = Readonly<Record<string, string>>;
type Facts = {
  kind: HandoverKind;
  hire: Hire;
  van: VanType;
  book: Book;
  /** The latest odometer of the van before this record, in km. */
  last?: { at: Instant; odometerKm: number };
  photos: readonly PhotoRow[];
  by: { contact: string; name: string };
  now: Instant;
};
/** `id` names the field of its answer, "sure-<id>"; `says`: what the answer must repeat, so that a change asks anew. */
export type Question = { id: string; says: string; ask: string };
export type ReadRecord = {
  wrong: Record<string, string>;
  questions: Question[];
  /** Present where nothing is wrong and no question is open. */
  record?: { reading: Reading; handover: Handover };
};

export const marks: readonly (readonly [OilMark, string])[] = [
  ["above-max", "Above top mark"],
  ["max", "Top mark"],
  ["between", "Between"],
  ["low", "Near bottom"],
  ["min", "Bottom mark"],
  ["below-min", "Below, or dry"],
];
/** Which of the levels a van has. */
export const levelsOf = (van: VanType) => ({
  oil: van.has.includes("engine"),
  fluid: van.has.includes("exhaust-fluid-tank"),
  bottles: van.has.includes("fixed-gas"),
  cartridges: van.has.includes("portable-stove"),
});

const text = (fields: Fields, name: string, most = 1000): string =>
  (fields[name] ?? "").trim().slice(0, most);
const ticked = (fields: Fields, name: string): boolean => text(fields, name) !== "";

/** "57,340", "57 340" or "57340" as a number; undefined for anything else. */
function odometerIn(words: string): number | undefined {
  const whole = /^\d{1,7}$|^\d{1,3}(?:[ ,.'\u00a0\u202f]\d{3})+$/.test(words);
  return whole ? Number(words.replace(/\D/g, "")) : undefined;
}
function numberIn(words: string, most: number): number | undefined {
  const n = Number(words.replace(",", "."));
  return words !== "" && n >= 0 && n <= most ? n : undefined;
}
/** Eighths of a tank. */
const eighths = (words: string): number | undefined =>
  /^[0-8]$/.test(words) ? Number(words) / 8 : undefined;

/** Reads the level of a tank: "0" to "8" eighths, per cent for a drive battery, or "none": it was not read. */
function level(fields: Fields, name: string, percent: boolean): number | "none" | undefined {
  const words = text(fields, name);
  if (words === "none") return "none";
  if (!percent) return eighths(words);
  const n = numberIn(words.replace(/ ?%$/, ""), 100);
  return n === undefined ? undefined : n / 100;
}

function gasOf(fields: Fields, wrong: ReadRecord["wrong"]): Gas | undefined {
  const gas: Gas = {};
  const kg = text(fields, "gas-kg");
  if (kg !== "") {
    const read = numberIn(kg, 50);
    if (read === undefined) wrong["gas-kg"] = "Kilograms of gas left, such as 4.5.";
    else gas.kg = read;
  }
  const share = eighths(text(fields, "gas-share"));
  if (share !== undefined) gas.share = share;
  const cartridges = text(fields, "cartridges");
  if (cartridges !== "") {
    if (/^\d{1,2}$/.test(cartridges)) gas.cartridges = Number(cartridges);
    else wrong["cartridges"] = "How many full cartridges, such as 2.";
  }
  return Object.keys(gas).length > 0 ? gas : undefined;
}

function kitOf(fields: Fields, van: VanType, wrong: ReadRecord["wrong"]): Handover["kit"] {
  const all = ticked(fields, "kit-all");
  return van.kit.map(({ item, count }, i) => {
    const words = text(fields, `kit-${i}`);
    if (words !== "" && !/^\d{1,3}$/.test(words)) wrong[`kit-${i}`] = "A number, such as 2.";
    const found = /^\d{1,3}$/.test(words) ? Number(words) : all ? count : undefined;
    return { item, due: count, ...(found === undefined ? {} : { found }) };
  });
}

/** The photos of the walk round as they stand in the form: without those taken out, with their marks. */
const photosIn = (fields: Fields, photos: readonly PhotoRow[]): RecordPhoto[] =>
  photos
    .filter((p) => p.side !== "chat" && !ticked(fields, `drop-${p.id}`))
    .map((p) => {
      const mark = text(fields, `mark-${p.id}`, 300);
      return {
        id: p.id,
        side: p.side,
        receivedAt: p.received_at as Instant,
        sha256: p.sha256,
        ...(mark ? { mark } : {}),
        ...(p.taken_at === null ? {} : { takenAt: p.taken_at }),
      };
    });

function faultsIn(fields: Fields): Handover["faults"] {
  return [1, 2, 3].flatMap((n) => {
    const title = text(fields, `fault-${n}`, 120);
    const severity = severities.find((s) => s === text(fields, `fault-${n}-severity`)) ?? "soon";
    return title === "" ? [] : [{ title, severity }];
  });
}

/** The fault rows whose severity was not chosen. */
const unjudged = (fields: Fields): number[] =>
  [1, 2, 3].filter(
    (n) => text(fields, `fault-${n}`) !== "" && text(fields, `fault-${n}-severity`) === "",
  );

/** The fault rows with which a van does not go out, and what is to be done instead; those of the record kept before may stay. */
function holding(fields: Fields, { kind, hire }: Facts): (readonly [n: number, say: string])[] {
  const { pickup, booking } = hire;
  const kept = pickup?.registration === booking.van.registration ? pickup : undefined;
  const say = kept
    ? "The van is out: ring its hirers, and note this on the van's page instead."
    : "With this it may not go out. Note it on the van's page instead: there it is released by name, or give the hire another van.";
  return [1, 2, 3].flatMap((n) => {
    const title = text(fields, `fault-${n}`, 120);
    const isKept = kept?.faults.some((f) => f.title === title && isGrave(f.severity)) ?? false;
    const severity = severities.find((s) => s === text(fields, `fault-${n}-severity`));
    const holds = kind === "pickup" && title !== "" && severity !== undefined && isGrave(severity);
    return holds && !isKept ? [[n, say] as const] : [];
  });
}

/** What was left out, in words; empty: nothing. `seen`: photos by chat stand for the walk round. */
function leftOut(handover: Handover, { kind, book, van }: Facts, seen: boolean): string {
  const { sides } = book.handover;
  const noPhoto = sides.filter((s) => !handover.photos.some((p) => p.side === s.id));
  const open = pointsFor(book.handover.safety, van.has).filter(
    (p) => !handover.points.includes(p.id),
  );
  const uncounted = handover.kit.filter((k) => k.found === undefined).length;
  return [
    noPhoto.length > 0 &&
      !seen &&
      `photos of: ${noPhoto.map((s) => s.say.toLowerCase()).join("; ")}`,
    kind === "pickup" && open.length > 0 && `${open.length} safety points`,
    handover.keys === undefined && "keys",
    uncounted > 0 && "kit not counted",
    kind === "pickup" && handover.drivers.length === 0 && "drivers",
  ]
    .filter(Boolean)
    .join(" · ");
}

/** Reads the whole form. Nothing that cannot be right gets into a record unasked. Never throws. */
export function readRecord(fields: Fields, facts: Facts): ReadRecord {
  const { kind, hire, van, book, now, by } = facts;
  const wrong: ReadRecord["wrong"] = {};
  const questions: Question[] = [];
  const has = levelsOf(van);
  const electric = van.fuel === "electric";
  const earlier = (kind === "pickup" ? hire.pickup : hire.back)?.reading;
  const reading: Reading = { at: earlier?.at ?? now, by: by.name };

  const unit: Unit = text(fields, "unit") === "km" ? "km" : "miles";
  const value = odometerIn(text(fields, "odometer"));
  if (!ticked(fields, "odometer-none")) {
    if (value === undefined)
      wrong["odometer"] =
        'The whole number on the display, such as 57,340; or tick "cannot be read".';
    else {
      reading.odometerKm = inKm({ value, unit });
      const doubt = doubtAbout({ value, unit, said: true, rounded: false }, now, facts.last);
      if (doubt)
        questions.push({
          id: "odometer",
          says: `${value} ${unit}`,
          ask: `${(book.reminders.doubts[doubt.id] ?? "").replace(/\{([a-z]+)\}/g, (whole, name: string) => doubt.words[name] ?? whole)} Is ${value.toLocaleString("en-GB")} ${unit} right?`,
        });
    }
  }
  const take = (name: "fuel" | "fluid", percent: boolean, say: string) => {
    const read = level(fields, name, percent);
    if (read === undefined) wrong[name] = say;
    else if (read !== "none") reading[name] = read;
  };
  take(
    "fuel",
    electric,
    electric
      ? 'Per cent of charge, 0 to 100, or "none" if it cannot be read.'
      : 'Choose the level, or "not read".',
  );
  if (has.fluid) take("fluid", false, 'Choose the level, or "not read".');
  if (has.oil) {
    const mark = marks.find(([m]) => m === text(fields, "oil"));
    if (mark) reading.oil = mark[0];
    else if (text(fields, "oil") !== "none") wrong["oil"] = 'Choose the mark, or "not read".';
    if (kind === "pickup" && mark && !["max", "between"].includes(mark[0]))
      questions.push({
        id: "oil",
        says: mark[0],
        ask: `Oil: ${mark[1].toLowerCase()}. It is put right before the van goes out. Keep the record with this mark?`,
      });
  }
  for (const n of unjudged(fields))
    wrong[`fault-${n}-severity`] = "Choose whether the van may move with it.";
  for (const [n, say] of holding(fields, facts)) wrong[`fault-${n}-severity`] = say;

  const keys = text(fields, "keys");
  if (keys !== "" && !/^\d$/.test(keys)) wrong["keys"] = "How many keys, 0 to 9.";
  const gas = gasOf(fields, wrong);
  const spare = (["with-hirer", "office", "none"] as const).find(
    (s) => s === text(fields, "spare"),
  );
  const points = kind === "pickup" ? book.handover.safety : book.handover.back;
  const remark = text(fields, "remark");
  const hirerRemark = text(fields, "hirer-remark");
  const handover: Handover = {
    registration: hire.booking.van.registration,
    by: by.contact,
    unit,
    ...(gas ? { gas } : {}),
    ...(/^\d$/.test(keys) ? { keys: Number(keys) } : {}),
    ...(spare ? { spare } : {}),
    kit: kitOf(fields, van, wrong),
    photos: photosIn(fields, facts.photos),
    drivers: [
      ...hire.people.filter((p) => ticked(fields, `driver-${p.id}`)).map((p) => p.name),
      ...text(fields, "driver-other", 200)
        .split(",")
        .map((n) => n.trim())
        .filter(Boolean),
    ],
    points: pointsFor(points, van.has)
      .map((p) => p.id)
      .filter((id) => ticked(fields, `point-${id}`)),
    faults: faultsIn(fields),
    ...(remark ? { remark } : {}),
    ...(hirerRemark ? { hirerRemark } : {}),
    ...(kind === "return" && text(fields, "way") === "key-box" ? { keyBox: true } : {}),
    confirmed: [],
  };
  const byChat = Object.keys(fields).some((f) => f.startsWith("chat-") && ticked(fields, f));
  const left = leftOut(handover, facts, byChat);
  if (left !== "")
    questions.push({
      id: "left-out",
      says: left,
      ask: `Left out: ${left}. Keep the record without?`,
    });
  const open = questions.filter((q) => text(fields, `sure-${q.id}`) !== q.says);
  if (open.length > 0 || Object.keys(wrong).length > 0) return { wrong, questions: open };
  handover.confirmed = questions.map((q) => q.ask);
  return { wrong, questions: [], record: { reading, handover } };
}
