/** The shapes of the YAML under knowledge/. Pure: no disk. Cross-checks between files live in book.ts. */
import { z } from "zod";
import { knowsZone } from "../calendar.js";
import { severities } from "../severity.js";
import { CallOrders, Contact, clock, Roster, ShiftRules } from "./firm/roster.js";
import { id, line, pos } from "./shapes.js";

/** What can hurt someone: an entry with one of these must carry a caution. */
const hazards = ["gas", "mains", "co", "traffic", "hot", "lifting", "high-voltage"] as const;

const asks = z.array(line).min(1);
const told = {
  /** One sentence that already answers. */
  lead: line.optional(),
  /** Up to seven short steps. A step that is one list placeholder ("{van.bed-lower}") becomes its lines. */
  steps: z.array(line).max(7).default([]),
  /** "If it does not work: …" */
  ifNot: line.optional(),
  /** When to ring the firm. */
  ring: line.optional(),
  /** Always shown, one line each. */
  cautions: z.array(line).default([]),
};
const shared = {
  title: line,
  asks,
  hazards: z.array(z.enum(hazards)).default([]),
  /** A published source by name and section, "common practice", or "from memory", for every figure. */
  sources: z.array(line).default([]),
  related: z.array(id).default([]),
  picture: id.optional(),
};

const AnswerEntry = z.strictObject({
  ...shared,
  ...told,
  /** The van must have one of these features; without it the reply is the van's own `lacks` line. */
  needs: z.array(id).default([]),
  /** Told instead of the general text when the van has the feature `when`; first match wins. */
  variants: z.array(z.strictObject({ when: id, ...told, picture: id.optional() })).default([]),
  /** Questions offered as buttons after the answer: each is another entry. */
  followUps: z.array(z.strictObject({ say: line, entry: id })).default([]),
});

/** Ends a guided check. `cleared` may lower the severity; `firm` and `roadside` say whom to ring. */
const End = z.strictObject({
  end: z.enum(["cleared", "firm", "roadside"]),
  say: line,
  severity: z.enum(severities).optional(),
  /** Another entry that takes over from here. */
  goTo: id.optional(),
});
export type End = z.infer<typeof End>;
/** `when`, `unless`: put only to those whose van has this feature, or has it not. */
export type Option = {
  say: string;
  when?: string | undefined;
  unless?: string | undefined;
  then: Question | End;
};
export type Question = { ask: string; options: Option[] };
const Question: z.ZodType<Question> = z.lazy(() =>
  z.strictObject({
    ask: line,
    options: z.array(
      z.strictObject({
        say: line.max(40),
        when: id.optional(),
        unless: id.optional(),
        then: z.union([End, Question]),
      }),
    ),
  }),
);

/** Told, and where it has a check of its own also asked, instead when the van has the feature `when`. */
const variants = z
  .array(z.strictObject({ when: id, ...told, check: Question.optional() }))
  .default([]);

const LightEntry = z.strictObject({
  ...shared,
  ...told,
  /** What the hirer sees, in plain words. */
  symbol: line,
  /** One line. */
  means: line,
  /** The engine is not simply switched off once the van has stopped. */
  engineStaysOn: z.boolean().default(false),
  /** It also flashes in ordinary use (a skid just caught, a fluid that runs low): flashing makes it no worse. */
  flashesInUse: z.boolean().default(false),
  check: Question.optional(),
  variants,
});

const FaultEntry = z.strictObject({
  ...shared,
  ...told,
  check: Question.optional(),
  /** True where roadside assistance can help (a breakdown), after the firm was told. */
  roadside: z.boolean().default(true),
  /** It has nothing to do with where the van stands in traffic. */
  atRest: z.boolean().default(false),
  /** Lights that tell of the same trouble: together they are one call-out. */
  effectOf: z.array(id).default([]),
  variants,
});

/** More than seven only with `cases`: seven are shown, those first of which the words tell. */
const dangerSteps = z.array(line).max(10);
/** Where each step is for a case of its own: the words that tell it ("burn*": starts so), step by step. */
const cases = z.array(z.array(z.string().regex(/^[a-z]+\*?$/))).default([]);
const DangerEntry = z.strictObject({
  ...shared,
  /** First line of the reply: the act that saves life and "{region.emergency}". */
  first: line.includes("{region.emergency}"),
  steps: dangerSteps,
  cases,
  /** What has happened, to be read out to the operator, else the title; and what it may be, case by case. */
  card: line.optional(),
  caseCards: z.array(line).default([]),
  /** What not to do, one line each. */
  never: z.array(line).default([]),
  /** It lies in the place alone: words that only name such a spot are none. */
  ofPlace: z.boolean().default(false),
});

const CourtesyEntry = z.strictObject({ asks, reply: line });

/** A danger's texts and tell-tale words in another language; same ids as the English file. */
const DangerInLanguage = z.strictObject({
  first: line.includes("{region.emergency}"),
  steps: dangerSteps,
  /** Beside the English words of the case; written without accents. */
  cases,
  never: z.array(line).default([]),
  /** Words or short phrases by which this danger is recognised in that language. */
  words: z.array(line).min(3),
});

export const files = {
  answers: z.record(id, AnswerEntry),
  lights: z.record(id, LightEntry),
  faults: z.record(id, FaultEntry),
  dangers: z.record(id, DangerEntry),
  courtesies: z.record(id, CourtesyEntry),
  dangersInLanguage: z.record(id, DangerInLanguage),
  /** asks/<mouth>.yaml: more phrasings of entries of any kind, by one more mouth. */
  moreAsks: z.record(id, asks),
};

export type AnswerText = z.infer<typeof AnswerEntry>;
export type LightText = z.infer<typeof LightEntry>;
export type FaultText = z.infer<typeof FaultEntry>;
export type DangerText = z.infer<typeof DangerEntry>;
export type CourtesyText = z.infer<typeof CourtesyEntry>;
export type DangerWords = z.infer<typeof DangerInLanguage>;

/** A van fact: words for a placeholder, or a list that becomes steps. */
export const VanFacts = z.record(id, z.union([line, z.array(line).min(1).max(7)]));

export const VanFile = z.strictObject({
  name: line,
  description: line,
  fuel: z.enum(["diesel", "electric"]),
  has: z.array(id),
  /** For each feature that it has not: what to say, with what it has instead. */
  lacks: z.record(id, line),
  /** SI-like units by name: M metres, Kg, L litres, Ah, W, A, Bar, KWh, Km. */
  figures: z.strictObject({
    heightM: pos,
    lengthM: pos,
    widthM: pos,
    maxMassKg: pos,
    unladenKg: pos,
    berths: pos,
    beltedSeats: pos,
    gears: pos,
    rangeKm: pos,
    tyreFrontBar: pos,
    tyreRearBar: pos,
    wheelNutNm: pos,
    leisureAh: pos,
    leisureChemistry: z.enum(["AGM", "LiFePO4"]),
    hookUpA: pos,
    awningMaxMph: pos,
    upperBedMaxKg: pos.optional(),
    tankL: pos.optional(),
    exhaustFluidTankL: pos.optional(),
    exhaustFluidLPer1000Km: pos.optional(),
    oilGrade: line.optional(),
    oilBetweenMarksL: pos.optional(),
    freshL: pos.optional(),
    wasteL: pos.optional(),
    gasKg: pos.optional(),
    solarW: pos.optional(),
    inverterW: pos.optional(),
    driveKWh: pos.optional(),
    acChargeKW: pos.optional(),
    rapidChargeKW: pos.optional(),
    bikeRackMaxKg: pos.optional(),
  }),
  /** What is counted at pick-up and return. */
  kit: z.array(z.strictObject({ item: line, count: z.number().int().positive() })).min(5),
});
export type VanFile = z.infer<typeof VanFile>;

export const FirmFile = z.strictObject({
  name: line,
  place: line,
  zone: line.refine(knowsZone, 'a time zone such as "Europe/London" is needed'),
  region: id,
  phone: line,
  hours: line,
  contacts: z.record(id, Contact),
  roster: Roster,
  callOrders: CallOrders,
  shifts: ShiftRules.default({
    answerMin: 10,
    againMin: 30,
    tell: ["previous", "next"],
    handOverMin: 10,
  }),
  /** Minutes until the next contact is tried. */
  limits: z.strictObject({
    dangerRepeatMin: pos,
    stopMin: pos,
    soonMin: pos,
    personMin: pos,
    hearFromMin: pos,
    promiseGraceMin: pos,
  }),
  night: z.strictObject({ from: clock, to: clock }),
  outcomes: z.record(id, line),
  /** Words for {firm.…} placeholders. */
  facts: z.record(id, line),
  /** What at the desk only a manager may do; accounts are always among it. Absent: accounts, trail, erase, tokens. */
  managerOnly: z
    .array(z.enum(["accounts", "trail", "erase", "tokens", "roster", "release", "wordings"]))
    .optional(),
});
export type FirmFile = z.infer<typeof FirmFile>;

/** What the reply to a reminder carries. */
export const wants = ["safety", "oil", "odometer", "tyres", "coolant", "fluid", "arrival"] as const;
export type Want = (typeof wants)[number];

/** One rule of the reminder table; read by reminders/plan.ts, which tells how each field is understood. */
const Rule = z.strictObject({
  title: line,
  /** What to do, why, and how to answer. */
  text: line,
  needsReply: z.boolean(),
  /** How the due instant is counted. */
  when: z.discriminatedUnion("kind", [
    z.strictObject({ kind: z.literal("at-pickup") }),
    z.strictObject({
      kind: z.literal("day"),
      day: z.number().int().min(0),
      at: clock,
      every: z.number().int().positive().optional(),
    }),
    z.strictObject({ kind: z.literal("days-before-return"), days: z.number().int().positive() }),
    z.strictObject({
      kind: z.literal("hours-before-return"),
      hours: pos,
      elseEveningBefore: clock,
    }),
    z.strictObject({ kind: z.literal("after-return"), minutes: pos }),
    z.strictObject({ kind: z.literal("day-after-return-record"), at: clock }),
    z.strictObject({ kind: z.literal("evening-before-clock-change"), at: clock }),
  ]),
  /** Also due when this distance was driven since the last check (rules by days only). */
  everyKm: pos.optional(),
  /** Conditions; all must hold. */
  only: z
    .strictObject({
      minNights: z.number().int().positive().optional(),
      /** The van has one of these. */
      features: z.array(id).optional(),
      /** Pick-up is before this local clock. */
      pickupBefore: clock.optional(),
      /** Due at least so many local days before return (1: 24 h or more). */
      daysBeforeReturn: z.number().int().positive().optional(),
      beforeReturn: z.boolean().optional(),
      /** Local month of the due day. */
      months: z.array(z.number().int().min(1).max(12)).optional(),
      noReturnRecord: z.boolean().optional(),
    })
    .default({}),
  reading: z.array(z.enum(wants)).default([]),
  /** Told first when several are merged into one message. */
  safety: z.boolean().default(false),
  /** Minutes after `due` for which it is still of help; later it is not sent. */
  helpsMin: pos,
  /** Its words name the day ("tomorrow"): of no help after the local day on which it was due. */
  namesDay: z.boolean().default(false),
  /** Told instead where the van has the feature `when`; first match wins; what is left out stays as above. */
  variants: z
    .array(
      z.strictObject({
        when: id,
        title: line.optional(),
        text: line.optional(),
        reading: z.array(z.enum(wants)).optional(),
      }),
    )
    .default([]),
});
/** How one thing that a reply carries is asked for. */
const Reply = z.strictObject({
  /** Completes "please tell me …". */
  name: line,
  buttons: z.array(z.strictObject({ value: id, label: line.max(40) })).default([]),
});
export const RemindersFile = z.strictObject({
  window: z.strictObject({ from: clock, to: clock }),
  mergeWithinMin: pos,
  maxPerDay: pos,
  skipIfWithinHoursOfPickup: pos,
  rules: z.record(id, Rule),
  replies: z.record(z.enum(wants), Reply),
  /** Lines that ask about a reading that cannot be right; {words} are filled by reminders/answer.ts. */
  doubts: z.record(id, line),
});
export type RemindersFile = z.infer<typeof RemindersFile>;
export type Rule = z.infer<typeof Rule>;

/** A name as it stands in a message in small letters; it becomes part of a pattern as it is. */
const applianceWords = z
  .string()
  .regex(/^[a-z0-9][a-z0-9 '-]*$/, "small letters, digits, blanks, apostrophes and hyphens");
/** What the sums of sums/ask.ts say, and the usual watts of appliances; both filled there. */
export const SumsFile = z.strictObject({
  says: z.record(id, line),
  appliances: z.record(
    line,
    z.strictObject({
      words: z.array(applianceWords).min(1),
      watts: pos,
      mean: pos.optional(),
      mains: z.boolean(),
    }),
  ),
});
export type SumsFile = z.infer<typeof SumsFile>;

/** Short approved lines that are no entries; `{name}` are filled by the caller. */
export const PhrasesFile = z.record(id, line);

/** pictures/sheet.yaml: the lights of the numbered sheet, in the order of their numbers from 1. */
export const SheetFile = z.strictObject({ order: z.array(id).min(1) });

/** Word variants for matching: each list is one meaning; the first word is the one we use. */
export const WordsFile = z.strictObject({
  /** British/American/Irish/Australian words, slang, brand-like words. */
  same: z.array(z.array(line).min(2)),
});
export type WordsFile = z.infer<typeof WordsFile>;
