/** The cross-checks of the knowledge base: every id, placeholder, caution, length and wording. Pure. */
import type { From, Parts, TopicsFile } from "./assemble.js";
import { type Book, concerns } from "./book.js";
import { examineChecks } from "./checks/examine.js";
import { unknown, unlessIn } from "./checks/nearest.js";
import type { Check, Fits, Path } from "./checks/texts.js";
import { checkTexts, checkVariants, resolves, textsOf } from "./checks/texts.js";
import { contactsNamed } from "./firm/named.js";
import { examineHandover } from "./handover/points.js";
import { placeholders, type VanType } from "./placeholders.js";
import type { DangerText, FaultText, FirmFile, LightText } from "./schema.js";

type Found = { file: string; path: Path; message: string };
type CheckOf = (file: string) => Check;

/** Fewer asks are too few to find an entry by. */
const minAsks = 10;
/** Every ask, spelled as the matching sees it, to find two entries with the same one. */
const plain = (text: string) => (text.toLowerCase().match(/[a-z0-9]+/g) ?? []).join(" ");

/** No ask stands twice, in one entry or in two. */
function askOnce({ say, askedIn }: Check, path: [string, ...Path], asks: string[]) {
  const [id] = path;
  for (const [i, ask] of asks.entries()) {
    const key = plain(ask);
    const other = askedIn.get(key);
    const where = other === id ? "stands twice" : `is an ask of "${other}" too`;
    if (other !== undefined) say([...path, i], `"${ask}" ${where}`);
    askedIn.set(key, id);
  }
}

type Common = { asks: string[]; related?: string[]; picture?: string | undefined };
function checkCommon(check: Check, id: string, text: Common) {
  const { say, book } = check;
  if (text.asks.length < minAsks)
    say([id, "asks"], `${text.asks.length} asks; at least ${minAsks} are needed`);
  askOnce(check, [id, "asks"], text.asks);
  for (const [i, other] of (text.related ?? []).entries())
    say([id, "related", i], unlessIn(book.entries, "entry", other));
  if (text.picture) say([id, "picture"], unlessIn(book.pictures, "picture", text.picture));
}

type Kind = "answers" | "lights" | "faults" | "dangers";
const idsOf = (topics: TopicsFile, kind: Kind): string[] =>
  kind === "answers"
    ? Object.values(topics.answers).flatMap((area) => Object.keys(area))
    : Object.keys(topics[kind]);

/** The texts of a kind whose ids topics.yaml has, each with its entry. */
function* known<T>(checkOf: CheckOf, kind: Kind, from: From<T>[], topics: TopicsFile) {
  const ids = idsOf(topics, kind);
  for (const { file, texts } of from)
    for (const [id, text] of Object.entries(texts)) {
      const check = checkOf(file);
      const { say, book, seen } = check;
      if (seen.has(id)) say([id], "this id stands twice");
      seen.add(id);
      if (!ids.includes(id)) say([id], `${unknown("id", id, ids)} (topics.yaml, ${kind})`);
      const entry = ids.includes(id) ? book.entries.get(id) : undefined;
      if (entry) yield { check, id, entry, text };
    }
}

function examineAnswers(checkOf: CheckOf, answers: Parts["answers"], topics: TopicsFile) {
  for (const { check, id, entry, text } of known(checkOf, "answers", answers, topics)) {
    const { say, book } = check;
    checkCommon(check, id, text);
    for (const [i, f] of text.needs.entries())
      say([id, "needs", i], unlessIn(book.features, "feature", f));
    const figures = checkVariants(check, entry, text, []);
    for (const [i, f] of text.followUps.entries())
      say([id, "followUps", i, "entry"], unlessIn(book.entries, "entry", f.entry));
    const wanted = "(a published one, common practice, or from memory)";
    if (figures && text.sources.length === 0)
      say([id, "sources"], `a figure without a source ${wanted}`);
  }
}

function examineTroubles(
  checkOf: CheckOf,
  kind: "lights" | "faults",
  troubles: From<LightText | FaultText>[],
  topics: TopicsFile,
) {
  for (const { check, id, entry, text } of known(checkOf, kind, troubles, topics)) {
    const { say, book } = check;
    checkCommon(check, id, text);
    const around = "means" in text ? [text.means, text.symbol] : [];
    const figures = checkVariants(check, entry, text, around);
    examineChecks(book, entry, text, {
      say: (path, message) => say([id, ...path], message),
      text: (path, words, vans) =>
        checkTexts(check, [[[id, ...path], words]], (van) => vans.includes(van)),
      unknown,
    });
    const topic = topics[kind][id];
    const until = topic?.until_checked;
    if (until && !text.check && !("same_as" in topic))
      say([id, "check"], `until_checked ${until}: needs a guided check that can clear it`);
    if (figures && text.sources.length === 0) say([id, "sources"], "a figure without a source");
  }
}

type Cases = Pick<DangerText, "steps" | "cases">;
/** A case for each step, where there are any; `steps`: how many the English text has. */
function examineCases({ say }: Check, id: string, text: Cases, steps: number) {
  const [n, own] = [text.cases.length, text.steps.length];
  if (n > 0 && (n !== own || n !== steps))
    say([id, "cases"], `${n} cases for ${own} steps; one for each is needed`);
  if (n === 0 && own > 7) say([id, "steps"], "more than 7 steps need cases");
}

function examineDangers(checkOf: CheckOf, dangers: Parts["dangers"], topics: TopicsFile) {
  for (const { check, id, entry, text } of known(checkOf, "dangers", dangers, topics)) {
    checkCommon(check, id, text);
    examineCases(check, id, text, text.steps.length);
    const [cards, cases] = [text.caseCards.length, text.cases.length];
    if (cards > 0 && cards !== cases)
      check.say([id, "caseCards"], `${cards} for ${cases} cases; one for each is needed`);
    const texts = textsOf([id], text, ["first", "steps", "never"]);
    checkTexts(check, texts, (van) => concerns(entry, van));
  }
}

/** The sheet of lights, the courtesies and the further asks. */
function examineBeside(checkOf: CheckOf, parts: Parts, topics: TopicsFile) {
  const { say, book } = checkOf("pictures/sheet.yaml");
  for (const [i, id] of parts.lightSheet.entries())
    if (book.entries.get(id)?.kind !== "light")
      say(["order", i], unknown("light", id, Object.keys(topics.lights)));
  for (const { file, texts } of parts.courtesies)
    for (const [id, text] of Object.entries(texts)) checkCommon(checkOf(file), id, text);
  for (const { file, texts } of parts.moreAsks)
    for (const [id, asks] of Object.entries(texts)) {
      checkOf(file).say([id], unlessIn(book.entries, "entry", id));
      askOnce(checkOf(file), [id], asks);
    }
}

function examineLanguages(checkOf: CheckOf, languages: Parts["languages"], topics: TopicsFile) {
  const dangers = new Set(Object.keys(topics.dangers));
  for (const { file, lang, texts } of languages) {
    const check = checkOf(file);
    for (const [id, text] of Object.entries(texts)) {
      const english = check.book.entries.get(id);
      if (english?.kind === "danger") examineCases(check, id, text, english.text.steps.length);
      check.say([id], unlessIn(dangers, "danger", id));
    }
    for (const id of dangers) if (!texts[id]) check.say([], `danger "${id}" is missing in ${lang}`);
  }
}

/** A fault that is acted on as a danger names the one that hirers are told. */
function examineFaultDangers({ say }: Check, { faults, dangers }: TopicsFile) {
  const known = new Set(Object.keys(dangers));
  for (const [id, topic] of Object.entries(faults)) {
    const { same_as, danger_until_checked } = topic;
    for (const danger of [same_as, danger_until_checked])
      if (danger !== undefined) say(["faults", id], unlessIn(known, "danger", danger));
    if (topic.until_checked === "danger" && !same_as && !danger_until_checked)
      say(
        ["faults", id],
        "until_checked danger: needs danger_until_checked, the danger it is told as",
      );
  }
}

/** Every id of topics.yaml has its entry. */
function examineTopics({ say, book, seen }: Check, topics: TopicsFile) {
  for (const kind of ["answers", "lights", "faults", "dangers"] as const)
    for (const id of idsOf(topics, kind))
      if (!seen.has(id) && !book.entries.has(id))
        say(kind === "answers" ? [kind] : [kind, id], `no entry for "${id}" in ${kind}/`);
}

function examineVan({ say, book: { features } }: Check, van: VanType) {
  for (const f of [...van.has, ...Object.keys(van.lacks)])
    say(["has"], unlessIn(features, "feature", f));
  for (const f of features.keys()) {
    if (van.has.includes(f) && f in van.lacks) say(["lacks", f], "listed as had and as lacking");
    if (!van.has.includes(f) && !(f in van.lacks))
      say(["lacks"], `says nothing about "${f}": add it to has or lacks`);
  }
}

function examineFirm({ say, book }: Check, firm: FirmFile) {
  const contacts = new Map(Object.entries(firm.contacts));
  for (const [path, id] of contactsNamed(firm)) say(path, unlessIn(contacts, "contact", id));
  say(["region"], unlessIn(book.regions, "region", firm.region));
}

type Rules = NonNullable<Parts["reminders"]>["rules"];

/** The words of each reminder, for the vans that are told them. */
function examineReminders(check: Check, rules: Rules) {
  for (const [id, { only, text, variants }] of Object.entries(rules)) {
    const concerned = (van: VanType) =>
      !only.features || only.features.some((f) => van.has.includes(f));
    const served = (van: VanType) => variants.find((v) => van.has.includes(v.when));
    const tell = (path: Path, words: string, fits: Fits) =>
      resolves(check, [["rules", id, ...path], words], (van) => concerned(van) && fits(van));
    tell(["text"], text, (van) => !served(van)?.text);
    for (const [i, v] of variants.entries())
      if (v.text) tell(["variants", i, "text"], v.text, (van) => served(van) === v);
  }
}

function examineRules({ say, book }: Check, rules: Rules) {
  for (const [id, rule] of Object.entries(rules))
    for (const f of rule.only.features ?? [])
      say(["rules", id, "only", "features"], unlessIn(book.features, "feature", f));
}

/** The placeholders of every van in every nation; none where the firm's file could not be read. */
const placesOf = (book: Book, firm: FirmFile | undefined): Check["places"] =>
  [...book.vans.values()].flatMap((van) =>
    [...book.regions.values()].flatMap((region) =>
      Object.keys(region.nations).map((nation) => ({
        van,
        values: firm ? placeholders(van, region, nation, firm) : new Map(),
      })),
    ),
  );

/** All problems of the assembled book; empty when it is sound. */
export function examine(parts: Parts, book: Book): Found[] {
  const { topics, firm, phrases } = parts;
  const rules = parts.reminders?.rules ?? {};
  if (!topics) return [];
  const found: Found[] = [];
  const told = { book, places: placesOf(book, firm), askedIn: new Map(), seen: new Set<string>() };
  const checkOf = (file: string): Check => ({
    ...told,
    say: (path, message) => {
      if (message !== undefined) found.push({ file, path, message });
    },
  });
  examineAnswers(checkOf, parts.answers, topics);
  examineTroubles(checkOf, "lights", parts.lights, topics);
  examineTroubles(checkOf, "faults", parts.faults, topics);
  examineDangers(checkOf, parts.dangers, topics);
  examineBeside(checkOf, parts, topics);
  examineLanguages(checkOf, parts.languages, topics);
  examineFaultDangers(checkOf("topics.yaml"), topics);
  examineTopics(checkOf("topics.yaml"), topics);
  for (const van of book.vans.values()) examineVan(checkOf(`vans/${van.id}/van.yaml`), van);
  if (firm) examineFirm(checkOf("firm.yaml"), firm);
  examineReminders(checkOf("reminders.yaml"), rules);
  for (const [id, words] of Object.entries(phrases ?? {}))
    resolves(checkOf("phrases.yaml"), [[id], words], () => true);
  for (const [i, point] of book.handover.safety.entries())
    resolves(checkOf("handover.yaml"), [["safety", i, "say"], point.say], () => true);
  found.push(...examineHandover(book.handover, book.entries, book.features));
  examineRules(checkOf("reminders.yaml"), rules);
  return found;
}
