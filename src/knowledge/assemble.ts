/** Joins the parsed files and the contract of topics.yaml into one Book. Pure. */

import { z } from "zod";
import { severities } from "../severity.js";
import type { Book, Entry } from "./book.js";
import { bare, compileDangerWords, type DangerWordsFile } from "./danger-words.js";
import { type KeepingFile, noKeeping } from "./firm/keeping.js";
import type { RegionFile } from "./firm/region.js";
import { type HandoverFile, noHandover } from "./handover/points.js";
import type { MeaningsFile } from "./meanings.js";
import type { OutsideFile } from "./outside.js";
import type { VanType } from "./placeholders.js";
import type {
  AnswerText,
  CourtesyText,
  DangerText,
  DangerWords,
  FaultText,
  FirmFile,
  LightText,
  RemindersFile,
  SumsFile,
  WordsFile,
} from "./schema.js";

/** topics.yaml: the contract. */
const id = z.string().regex(/^[a-z0-9-]+$/);
const triage = {
  severity: z.enum(severities),
  until_checked: z.enum(severities).optional(),
  only: z.array(id).optional(),
};
const LightTopic = z.strictObject({
  ...triage,
  colour: z.enum(["red", "amber", "blue", "green", "any"]),
});
const FaultTopic = z.strictObject({
  ...triage,
  same_as: id.optional(),
  danger_until_checked: id.optional(),
});
export const TopicsFile = z.strictObject({
  answers: z.record(id, z.record(id, z.string().trim().min(1))),
  lights: z.record(id, LightTopic),
  faults: z.record(id, FaultTopic),
  dangers: z.record(id, z.strictObject({ only: z.array(id).optional() })),
});
/** Hirers mix a word of their own language into English now and then; so often it is an English word. */
const englishFrom = 12;

export type TopicsFile = z.infer<typeof TopicsFile>;

export type From<T> = { file: string; texts: Record<string, T> };
/** What was read, file by file; undefined where a file was unreadable (its problem is told already). */
export type Parts = {
  answers: From<AnswerText>[];
  lights: From<LightText>[];
  faults: From<FaultText>[];
  dangers: From<DangerText>[];
  languages: (From<DangerWords> & { lang: string })[];
  courtesies: From<CourtesyText>[];
  /** Further asks by entry, whatever its kind. */
  moreAsks: From<string[]>[];
  vans: Map<string, VanType>;
  regions: Map<string, RegionFile>;
  features: Map<string, string>;
  pictures: Set<string>;
  lightSheet: string[];
  topics: TopicsFile | undefined;
  firm: FirmFile | undefined;
  reminders: RemindersFile | undefined;
  sums: SumsFile | undefined;
  handover: HandoverFile | undefined;
  keeping: KeepingFile | undefined;
  phrases: Record<string, string> | undefined;
  words: WordsFile | undefined;
  dangerWords: DangerWordsFile | undefined;
  meanings: MeaningsFile | undefined;
  outside: OutsideFile | undefined;
  background: string[] | undefined;
  commonWords: ReadonlySet<string>;
  realWords: ReadonlySet<string>;
};
const noDangerWords: DangerWordsFile = {
  classes: {},
  figures: [],
  panic: [],
  cries: [],
  dangers: {},
  frames: { supposing: [], asking: [], opening: [], denied: [], about: [], over: [] },
};

const optional = <K extends string, V>(key: K, value: V | undefined) =>
  (value === undefined ? {} : { [key]: value }) as { [k in K]?: V };

const textsOf = <T>(from: From<T>[]) => from.flatMap(({ texts }) => Object.entries(texts));
const common = (id: string, { title, asks }: { title: string; asks: string[] }) => ({
  id,
  title,
  asks,
  needs: [],
});
const triaged = (topic: z.infer<typeof LightTopic | typeof FaultTopic>) => ({
  severity: topic.severity,
  ...optional("untilChecked", topic.until_checked),
  ...optional("only", topic.only),
});

function dangersOf({ dangers, topics }: Parts): Entry[] {
  return textsOf(dangers).map(([id, text]) => ({
    kind: "danger",
    ...common(id, text),
    severity: "danger",
    text,
    ...optional("only", topics?.dangers[id]?.only),
  }));
}

function lightsOf({ lights, topics }: Parts): Entry[] {
  return textsOf(lights).flatMap(([id, text]) => {
    const t = topics?.lights[id];
    return t ? [{ kind: "light", ...common(id, text), colour: t.colour, ...triaged(t), text }] : [];
  });
}

/** Faults with a text of their own, then those that a danger's text serves. */
function faultsOf({ faults, topics }: Parts): Entry[] {
  const own = textsOf(faults).flatMap(([id, text]): Entry[] => {
    const t = topics?.faults[id];
    const as = {
      ...optional("sameAs", t?.same_as),
      ...optional("dangerUntilChecked", t?.danger_until_checked),
    };
    return t ? [{ kind: "fault", ...common(id, text), ...triaged(t), text, ...as }] : [];
  });
  const served = Object.entries(topics?.faults ?? {}).flatMap(([id, t]): Entry[] => {
    const plain = common(id, { title: id, asks: [] });
    return t.same_as ? [{ kind: "fault", ...plain, severity: t.severity, sameAs: t.same_as }] : [];
  });
  return [...own, ...served];
}

function answersOf({ answers, topics }: Parts): Entry[] {
  const contracts = new Map(
    Object.entries(topics?.answers ?? {}).flatMap(([area, ids]) =>
      Object.entries(ids).map(([id, contract]) => [id, { area, contract }]),
    ),
  );
  return textsOf(answers).flatMap(([id, text]) => {
    const c = contracts.get(id);
    return c ? [{ kind: "answer", ...common(id, text), needs: text.needs, ...c, text }] : [];
  });
}

const courtesiesOf = ({ courtesies }: Parts): Entry[] =>
  textsOf(courtesies).map(([id, text]) => ({
    kind: "courtesy",
    ...common(id, { title: id, asks: text.asks }),
    text,
  }));

/** The entries of all kinds with all their asks; the first of an id stays. */
function entriesOf(parts: Parts): Map<string, Entry> {
  const all = [dangersOf, lightsOf, faultsOf, answersOf, courtesiesOf].flatMap((of) => of(parts));
  const entries = new Map<string, Entry>();
  for (const entry of all) if (!entries.has(entry.id)) entries.set(entry.id, entry);
  for (const [id, asks] of textsOf(parts.moreAsks)) {
    const entry = entries.get(id);
    if (entry) entries.set(id, { ...entry, asks: [...entry.asks, ...asks] });
  }
  return entries;
}

/** The common words, and those that our asks use often: English, and no sign of another language. */
function englishWords(entries: Iterable<Entry>, commonWords: ReadonlySet<string>): Set<string> {
  const often = new Map<string, number>();
  for (const word of [...entries].flatMap((e) => e.asks.flatMap(bare)))
    often.set(word, (often.get(word) ?? 0) + 1);
  const english = new Set(commonWords);
  for (const [word, times] of often) if (times >= englishFrom) english.add(word);
  return english;
}

/** Builds the Book. Parts that could not be read leave gaps; the caller reports them and stops. */
export function assemble(parts: Parts, hash: string): Book {
  const entries = entriesOf(parts);
  return {
    hash,
    entries,
    vans: parts.vans,
    features: parts.features,
    regions: parts.regions,
    firm: parts.firm ?? ({} as FirmFile),
    reminders: parts.reminders ?? ({ rules: {} } as RemindersFile),
    sums: parts.sums ?? { says: {}, appliances: {} },
    handover: parts.handover ?? noHandover,
    keeping: parts.keeping ?? noKeeping,
    phrases: new Map(Object.entries(parts.phrases ?? {})),
    words: parts.words ?? { same: [] },
    meanings: parts.meanings ?? {},
    outside: parts.outside ?? {},
    background: parts.background ?? [],
    commonWords: parts.commonWords,
    realWords: parts.realWords,
    dangerWords: compileDangerWords(
      parts.dangerWords ?? noDangerWords,
      parts.languages.flatMap(({ lang, texts }) =>
        Object.entries(texts).map(([id, t]) => ({ lang, id, words: t.words })),
      ),
      englishWords(entries.values(), parts.commonWords),
    ),
    dangersIn: new Map(parts.languages.map((l) => [l.lang, new Map(Object.entries(l.texts))])),
    pictures: parts.pictures,
    lightSheet: parts.lightSheet,
  };
}
