/** Joins the parsed files and the contract of topics.yaml into one Book. Pure. */
import { z } from "zod";
import { severities } from "../severity.js";
import type { Book, Entry } from "./book.js";
import { bare, compileDangerWords, type DangerWordsFile } from "./danger-words.js";
import { type KeepingFile, noKeeping } from "./firm/keeping.js";
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
  RegionFile,
  RemindersFile,
  SumsFile,
  WordsFile,
} from "./schema.js";

/** topics.yaml: the contract. */
const id = z.string().regex(/^[a-z0-9-]+$/);
const LightTopic = z.strictObject({
  colour: z.enum(["red", "amber", "blue", "green", "any"]),
  severity: z.enum(severities),
  until_checked: z.enum(severities).optional(),
  only: z.array(id).optional(),
});
const FaultTopic = z.strictObject({
  severity: z.enum(severities),
  until_checked: z.enum(severities).optional(),
  same_as: id.optional(),
  only: z.array(id).optional(),
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

type From<T> = { file: string; texts: Record<string, T> };
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

/** Builds the Book. Parts that could not be read leave gaps; the caller reports them and stops. */
export function assemble(parts: Parts, hash: string): Book {
  const entries = new Map<string, Entry>();
  const add = (entry: Entry) => {
    if (!entries.has(entry.id)) entries.set(entry.id, entry);
  };
  const topics = parts.topics;
  const contracts = new Map<string, { area: string; contract: string }>();
  for (const [area, ids] of Object.entries(topics?.answers ?? {}))
    for (const [id, contract] of Object.entries(ids)) contracts.set(id, { area, contract });

  for (const { texts } of parts.dangers)
    for (const [id, text] of Object.entries(texts))
      add({
        kind: "danger",
        id,
        title: text.title,
        asks: text.asks,
        needs: [],
        severity: "danger",
        text,
        ...optional("only", topics?.dangers[id]?.only),
      });
  for (const { texts } of parts.lights)
    for (const [id, text] of Object.entries(texts)) {
      const t = topics?.lights[id];
      if (t)
        add({
          kind: "light",
          id,
          title: text.title,
          asks: text.asks,
          needs: [],
          colour: t.colour,
          severity: t.severity,
          text,
          ...optional("untilChecked", t.until_checked),
          ...optional("only", t.only),
        });
    }
  for (const { texts } of parts.faults)
    for (const [id, text] of Object.entries(texts)) {
      const t = topics?.faults[id];
      if (t)
        add({
          kind: "fault",
          id,
          title: text.title,
          asks: text.asks,
          needs: [],
          severity: t.severity,
          text,
          ...optional("untilChecked", t.until_checked),
          ...optional("only", t.only),
          ...optional("sameAs", t.same_as),
        });
    }
  for (const [id, t] of Object.entries(topics?.faults ?? {}))
    if (t.same_as)
      add({
        kind: "fault",
        id,
        title: id,
        asks: [],
        needs: [],
        severity: t.severity,
        sameAs: t.same_as,
      });
  for (const { texts } of parts.answers)
    for (const [id, text] of Object.entries(texts)) {
      const c = contracts.get(id);
      if (c)
        add({
          kind: "answer",
          id,
          title: text.title,
          asks: text.asks,
          needs: text.needs,
          ...c,
          text,
        });
    }
  for (const { texts } of parts.courtesies)
    for (const [id, text] of Object.entries(texts))
      add({ kind: "courtesy", id, title: id, asks: text.asks, needs: [], text });

  for (const { texts } of parts.moreAsks)
    for (const [id, asks] of Object.entries(texts)) {
      const entry = entries.get(id);
      if (entry) entries.set(id, { ...entry, asks: [...entry.asks, ...asks] });
    }
  // Words that our asks use often are English, and no sign of another language.
  const often = new Map<string, number>();
  for (const word of [...entries.values()].flatMap((e) => e.asks.flatMap(bare)))
    often.set(word, (often.get(word) ?? 0) + 1);
  const english = new Set(parts.commonWords);
  for (const [word, times] of often) if (times >= englishFrom) english.add(word);
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
      english,
    ),
    dangersIn: new Map(parts.languages.map((l) => [l.lang, new Map(Object.entries(l.texts))])),
    pictures: parts.pictures,
    lightSheet: parts.lightSheet,
  };
}
