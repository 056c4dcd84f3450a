/** The knowledge base in memory: entries of all kinds, and what holds for one van. Pure. */

import { gravity, type Severity, severities } from "../severity.js";
import type { DangerPatterns } from "./danger-words.js";
import type { KeepingFile } from "./firm/keeping.js";
import type { RegionFile } from "./firm/region.js";
import type { HandoverFile } from "./handover/points.js";
import type { MeaningsFile } from "./meanings.js";
import type { OutsideFile } from "./outside.js";
import type { VanType } from "./placeholders.js";
import type {
  AnswerText,
  CourtesyText,
  DangerText,
  DangerWords,
  End,
  FaultText,
  FirmFile,
  LightText,
  Question,
  RemindersFile,
  SumsFile,
  WordsFile,
} from "./schema.js";

/** What the matching sees of every entry, whatever its kind. */
type Common = {
  id: string;
  title: string;
  asks: string[];
  /** Van types that it concerns; absent: all. */
  only?: string[];
  /** Features of which the van must have one; empty: none needed. */
  needs: string[];
};
type Triaged = {
  severity: Severity;
  /** Treated as this severity until the guided check clears it. */
  untilChecked?: Severity;
};
export type AnswerEntry = Common & {
  kind: "answer";
  area: string;
  contract: string;
  text: AnswerText;
};
export type LightEntry = Common &
  Triaged & { kind: "light"; colour: "red" | "amber" | "blue" | "green" | "any"; text: LightText };
/**
 * `sameAs`: a danger entry whose text serves for this fault too. `dangerUntilChecked`: the one that it is told as until
 * its check has placed it.
 */
export type FaultEntry = Common &
  Triaged & { kind: "fault"; sameAs?: string; dangerUntilChecked?: string; text?: FaultText };
export type DangerEntry = Common & { kind: "danger"; severity: "danger"; text: DangerText };
type CourtesyEntry = Common & { kind: "courtesy"; text: CourtesyText };
export type Entry = AnswerEntry | LightEntry | FaultEntry | DangerEntry | CourtesyEntry;

export type Book = {
  /** Changes whenever any file does; keys the matching cache. */
  hash: string;
  entries: ReadonlyMap<string, Entry>;
  vans: ReadonlyMap<string, VanType>;
  /** Feature id → its name, as in "your van has no …". */
  features: ReadonlyMap<string, string>;
  regions: ReadonlyMap<string, RegionFile>;
  firm: FirmFile;
  reminders: RemindersFile;
  /** Lines and appliances of the sums. */
  sums: SumsFile;
  /** Points of the handover and the return; which reports stay on the van. */
  handover: HandoverFile;
  /** What is kept of a hire, and how long. */
  keeping: KeepingFile;
  phrases: ReadonlyMap<string, string>;
  words: WordsFile;
  /** What we have no answer to, by subject, for matching. */
  outside: OutsideFile;
  /** What people tell around a question: its words weigh less. */
  background: readonly string[];
  /** Common English words, which no spelling correction touches. */
  commonWords: ReadonlySet<string>;
  /** Rarer words that are no misspelling of the words which hirers often write. */
  realWords: ReadonlySet<string>;
  /** Meanings and the words that carry them, for matching. */
  meanings: MeaningsFile;
  /** The signs by which dangers are recognised, compiled. */
  dangerWords: DangerPatterns;
  /** Language → danger id → texts and words. */
  dangersIn: ReadonlyMap<string, ReadonlyMap<string, DangerWords>>;
  /** The lights of the numbered sheet; number 1 comes first. */
  lightSheet: readonly string[];
  /** Ids of drawings under pictures/. */
  pictures: ReadonlySet<string>;
};

/** The severity that the first reply acts on: `untilChecked` where there is one. Null for answers. */
export function actsOn(entry: Entry): Severity | null {
  if (entry.kind === "light" || entry.kind === "fault") return entry.untilChecked ?? entry.severity;
  return entry.kind === "danger" ? "danger" : null;
}

/** How grave an entry is, for putting the worst first: 0 a danger, severities.length what asks nobody to act. */
export function gravityOf(entry: Entry | undefined): number {
  const severity = entry ? actsOn(entry) : null;
  return severity === null ? severities.length : gravity(severity);
}

/** Whether an entry is a light or a fault. */
export const isTrouble = (entry: Entry | undefined): boolean =>
  entry?.kind === "light" || entry?.kind === "fault";

/** Whether the entry concerns this van type: it is not reserved for others and the van has what it needs. */
export function concerns(entry: Entry, van: VanType): boolean {
  if (entry.only && !entry.only.includes(van.id)) return false;
  return entry.needs.length === 0 || entry.needs.some((feature) => van.has.includes(feature));
}

/** Whether a light or fault is one of the van in traffic. */
export const concernsDriving = (entry: Entry): boolean =>
  !(entry.kind === "fault" && entry.text?.atRest);

const leadsTo = (node: Question | End, id: string): boolean =>
  "ask" in node ? node.options.some((o) => leadsTo(o.then, id)) : node.goTo === id;

/** Whether a fault's own questions may find that it is another entry. */
export function mayBe(entry: Entry, id: string): boolean {
  const { text } = entry.kind === "fault" ? entry : {};
  const checks = [text?.check, ...(text?.variants ?? []).map((v) => v.check)];
  return checks.some((check) => check !== undefined && leadsTo(check, id));
}

/** Why an entry does not concern a van: the line that says so and names what the van has instead. */
export function lackLine(entry: Entry, van: VanType): string | undefined {
  if (concerns(entry, van)) return undefined;
  const feature = entry.needs.find((f) => !van.has.includes(f)) ?? "electric-drive";
  return van.lacks[feature];
}

/** All that `regionOf` knows: regions and their nations. */
export const regionIds = (book: Book): string[] => [
  ...new Set([...book.regions].flatMap(([id, r]) => [id, ...Object.keys(r.nations)])),
];

/** The region and nation that an id names: "gb", "gb-wls", "ie". Unknown → the firm's own. */
export function regionOf(book: Book, id: string): { region: RegionFile; nation: string } {
  for (const [key, region] of book.regions) {
    if (key === id) return { region, nation: region.defaultNation };
    if (region.nations[id]) return { region, nation: id };
  }
  const home = book.regions.get(book.firm.region);
  if (!home) throw new Error(`the firm's region "${book.firm.region}" is not in the book`);
  return { region: home, nation: home.defaultNation };
}

/** The calling code of the firm's country, such as "44". */
export const homeCode = (book: Book): string => regionOf(book, book.firm.region).region.callingCode;
