/** The cross-checks of the knowledge base: every id, placeholder, caution, length and wording. Pure. */
import type { Parts } from "./assemble.js";
import { type Book, concerns, type Entry } from "./book.js";
import { examineChecks } from "./checks/examine.js";
import { contactsNamed } from "./firm/named.js";
import { forbiddenIn } from "./forbidden.js";
import { examineHandover } from "./handover/points.js";
import { fill, fillSteps, named, placeholders, type VanType } from "./placeholders.js";

type Found = { file: string; path: (string | number)[]; message: string };
type Told = {
  lead?: string | undefined;
  steps: string[];
  ifNot?: string | undefined;
  ring?: string | undefined;
  cautions: string[];
};

/** Lengths in characters. A phone screen holds about 700; a Telegram caption 1,024. */
const limits = { body: 700, whole: 1000, minAsks: 10 } as const;

/** Edit distance, small words: only to name the nearest valid value in an error. */
export function nearest(word: string, valid: Iterable<string>): string | undefined {
  let best: string | undefined;
  let least = Math.max(3, word.length / 2);
  for (const other of valid) {
    let row = Array.from({ length: other.length + 1 }, (_, i) => i);
    for (let i = 1; i <= word.length; i++) {
      const next = [i];
      for (let j = 1; j <= other.length; j++)
        next.push(
          Math.min(
            (row[j] ?? 0) + 1,
            (next[j - 1] ?? 0) + 1,
            (row[j - 1] ?? 0) + (word[i - 1] === other[j - 1] ? 0 : 1),
          ),
        );
      row = next;
    }
    const d = row[other.length] ?? 99;
    if (d < least) [least, best] = [d, other];
  }
  return best;
}

const unknown = (what: string, word: string, valid: Iterable<string>) => {
  const near = nearest(word, valid);
  return `unknown ${what} "${word}"${near ? `; the nearest is "${near}"` : ""}`;
};

const figure =
  /\d\s?(mm|cm|m|km|mph|kg|litres?|l|v|volts?|a|amps?|w|kw|bar|psi|minutes?|min|seconds?|hours?|h|days?|miles?|°c|c|%|ppm|nm)\b/i;
/** Every ask, spelled as the matching sees it, to find two entries with the same one. */
const plain = (text: string) =>
  text
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, " ")
    .trim();

/** All problems of the assembled book; empty when it is sound. */
export function examine(parts: Parts, book: Book): Found[] {
  const found: Found[] = [];
  const say = (file: string, path: (string | number)[], message: string) =>
    found.push({ file, path, message });
  const features = [...book.features.keys()];
  const askedIn = new Map<string, string>();

  // Placeholders of every van in every nation: a text must resolve for each van that it concerns.
  const places = [...book.vans.values()].flatMap((van) =>
    [...book.regions.values()].flatMap((region) =>
      Object.keys(region.nations).map((nation) => ({
        van,
        values: parts.firm
          ? placeholders(van, region, nation, parts.firm)
          : new Map<string, string | string[]>(),
      })),
    ),
  );

  function checkTexts(
    file: string,
    entry: Entry,
    texts: [(string | number)[], string][],
    vans: readonly VanType[] = [...book.vans.values()],
  ) {
    for (const [path, text] of texts) {
      for (const wording of forbiddenIn(text)) say(file, path, `forbidden wording "${wording}"`);
      const missing = new Set<string>();
      for (const { van, values } of places) {
        if (!concerns(entry, van) || !vans.includes(van)) continue;
        for (const name of named(text))
          if (!values.has(name) && !missing.has(name)) {
            missing.add(name);
            say(file, path, `${unknown("placeholder", name, values.keys())} (for ${van.id})`);
          }
      }
    }
  }

  function checkTold(
    file: string,
    id: string,
    entry: Entry,
    told: Told,
    at: (string | number)[],
    when?: string,
    hazards: string[] = [],
    variants: string[] = [],
    extra: string[] = [],
  ) {
    const texts: [(string | number)[], string][] = [
      ...(told.lead ? [[[...at, "lead"], told.lead] as [(string | number)[], string]] : []),
      ...told.steps.map((s, i) => [[...at, "steps", i], s] as [(string | number)[], string]),
      ...(told.ifNot ? [[[...at, "ifNot"], told.ifNot] as [(string | number)[], string]] : []),
      ...(told.ring ? [[[...at, "ring"], told.ring] as [(string | number)[], string]] : []),
      ...told.cautions.map((s, i) => [[...at, "cautions", i], s] as [(string | number)[], string]),
    ];
    if (hazards.length > 0 && told.cautions.length === 0)
      say(file, [...at, "cautions"], `tagged ${hazards.join(", ")} but carries no caution`);
    for (const { van, values } of places) {
      if (!concerns(entry, van) || (when && !van.has.includes(when))) continue;
      // A base text is not shown to a van that a variant serves.
      if (!when && variants.some((v) => van.has.includes(v))) continue;
      if (told.steps.length === 0 && !told.lead) {
        say(file, at, `has neither lead nor steps for ${van.id}`);
        break;
      }
      for (const [path, text] of texts)
        for (const name of named(text))
          if (!values.has(name))
            say(file, path, `${unknown("placeholder", name, values.keys())} (for ${van.id})`);
      const steps = fillSteps(told.steps, values);
      if (steps.length > 7)
        say(file, [...at, "steps"], `${steps.length} steps for ${van.id}; at most 7 fit a phone`);
      const body = [told.lead ?? "", ...steps, told.ifNot ?? "", told.ring ?? "", ...extra]
        .map((t) => fill(t, values))
        .join("\n").length;
      const whole = body + told.cautions.map((t) => fill(t, values)).join("\n").length + id.length;
      if (body > limits.body)
        say(file, at, `${body} characters for ${van.id}; about ${limits.body} fit a phone`);
      else if (whole > limits.whole)
        say(file, at, `${whole} characters with cautions for ${van.id}; at most ${limits.whole}`);
    }
    for (const [path, text] of texts)
      for (const wording of forbiddenIn(text)) say(file, path, `forbidden wording "${wording}"`);
    return texts.some(([, text]) => figure.test(text.replace(/\{[^}]*\}/g, "")));
  }

  /** No ask stands twice, in one entry or in two. */
  function askOnce(file: string, id: string, path: (string | number)[], asks: string[]) {
    for (const [i, ask] of asks.entries()) {
      const key = plain(ask);
      const other = askedIn.get(key);
      if (other !== undefined)
        say(
          file,
          [...path, i],
          other === id ? `"${ask}" stands twice` : `"${ask}" is an ask of "${other}" too`,
        );
      askedIn.set(key, id);
    }
  }

  function common(
    file: string,
    id: string,
    text: { asks: string[]; related?: string[]; picture?: string | undefined },
  ) {
    if (text.asks.length < limits.minAsks)
      say(file, [id, "asks"], `${text.asks.length} asks; at least ${limits.minAsks} are needed`);
    askOnce(file, id, [id, "asks"], text.asks);
    for (const [i, other] of (text.related ?? []).entries())
      if (!book.entries.has(other))
        say(file, [id, "related", i], unknown("entry", other, book.entries.keys()));
    if (text.picture && !book.pictures.has(text.picture))
      say(file, [id, "picture"], unknown("picture", text.picture, book.pictures));
  }

  const topics = parts.topics;
  const seen = new Set<string>();
  const known = (kind: "answers" | "lights" | "faults" | "dangers", ids: string[]) =>
    function check(file: string, id: string) {
      if (seen.has(id)) say(file, [id], "this id stands twice");
      seen.add(id);
      if (ids.includes(id)) return true;
      say(file, [id], `${unknown("id", id, ids)} (topics.yaml, ${kind})`);
      return false;
    };
  if (!topics) return found;

  const answerIds = Object.values(topics.answers).flatMap((area) => Object.keys(area));
  const isAnswer = known("answers", answerIds);
  for (const { file, texts } of parts.answers)
    for (const [id, text] of Object.entries(texts)) {
      if (!isAnswer(file, id)) continue;
      const entry = book.entries.get(id);
      if (!entry) continue;
      common(file, id, text);
      for (const [i, f] of text.needs.entries())
        if (!book.features.has(f)) say(file, [id, "needs", i], unknown("feature", f, features));
      const variants = text.variants.map((v) => v.when);
      let figures = checkTold(file, id, entry, text, [id], undefined, text.hazards, variants);
      for (const [i, v] of text.variants.entries()) {
        if (!book.features.has(v.when))
          say(file, [id, "variants", i, "when"], unknown("feature", v.when, features));
        figures =
          checkTold(file, id, entry, v, [id, "variants", i], v.when, text.hazards) || figures;
        if (v.picture && !book.pictures.has(v.picture))
          say(file, [id, "variants", i, "picture"], unknown("picture", v.picture, book.pictures));
      }
      for (const [i, f] of text.followUps.entries())
        if (!book.entries.has(f.entry))
          say(file, [id, "followUps", i, "entry"], unknown("entry", f.entry, book.entries.keys()));
      if (figures && text.sources.length === 0)
        say(
          file,
          [id, "sources"],
          "a figure without a source (a published one, common practice, or from memory)",
        );
    }
  for (const kind of ["lights", "faults"] as const) {
    const isKnown = known(kind, Object.keys(topics[kind]));
    for (const { file, texts } of parts[kind])
      for (const [id, text] of Object.entries(texts)) {
        if (!isKnown(file, id)) continue;
        const entry = book.entries.get(id);
        if (!entry) continue;
        common(file, id, text);
        const { variants } = text;
        let figures = checkTold(
          file,
          id,
          entry,
          text,
          [id],
          undefined,
          text.hazards,
          variants.map((v: { when: string }) => v.when),
          "means" in text ? [text.means, text.symbol] : [],
        );
        for (const [i, v] of variants.entries()) {
          if (!book.features.has(v.when))
            say(file, [id, "variants", i, "when"], unknown("feature", v.when, features));
          figures =
            checkTold(file, id, entry, v, [id, "variants", i], v.when, text.hazards) || figures;
        }
        examineChecks(book, entry, text, {
          say: (path, message) => say(file, [id, ...path], message),
          text: (path, words, vans) => checkTexts(file, entry, [[[id, ...path], words]], vans),
          unknown,
        });
        const topic = topics[kind][id];
        if (topic?.until_checked && !text.check && !("same_as" in topic))
          say(
            file,
            [id, "check"],
            `until_checked ${topic.until_checked}: needs a guided check that can clear it`,
          );
        if (figures && text.sources.length === 0)
          say(file, [id, "sources"], "a figure without a source");
      }
  }
  /** A case for each step, where there are any; `steps`: how many the English text has. */
  const examineCases = (
    file: string,
    id: string,
    text: { steps: string[]; cases: string[][] },
    steps: number,
  ) => {
    const [n, own] = [text.cases.length, text.steps.length];
    if (n > 0 && (n !== own || n !== steps))
      say(file, [id, "cases"], `${n} cases for ${own} steps; one for each is needed`);
    if (n === 0 && own > 7) say(file, [id, "steps"], "more than 7 steps need cases");
  };
  const isDanger = known("dangers", Object.keys(topics.dangers));
  for (const { file, texts } of parts.dangers)
    for (const [id, text] of Object.entries(texts)) {
      if (!isDanger(file, id)) continue;
      const entry = book.entries.get(id);
      if (!entry) continue;
      common(file, id, text);
      examineCases(file, id, text, text.steps.length);
      checkTexts(file, entry, [
        [[id, "first"], text.first],
        ...text.steps.map((s, i) => [[id, "steps", i], s] as [(string | number)[], string]),
        ...text.never.map((s, i) => [[id, "never", i], s] as [(string | number)[], string]),
      ]);
    }
  for (const [i, id] of parts.lightSheet.entries())
    if (book.entries.get(id)?.kind !== "light")
      say("pictures/sheet.yaml", ["order", i], unknown("light", id, Object.keys(topics.lights)));
  for (const { file, texts } of parts.courtesies)
    for (const [id, text] of Object.entries(texts)) common(file, id, text);
  for (const { file, texts } of parts.moreAsks)
    for (const [id, asks] of Object.entries(texts)) {
      if (!book.entries.has(id)) say(file, [id], unknown("entry", id, book.entries.keys()));
      askOnce(file, id, [id], asks);
    }
  for (const { file, lang, texts } of parts.languages) {
    for (const [id, text] of Object.entries(texts)) {
      const english = book.entries.get(id);
      if (english?.kind === "danger") examineCases(file, id, text, english.text.steps.length);
      if (!topics.dangers[id]) say(file, [id], unknown("danger", id, Object.keys(topics.dangers)));
    }
    for (const id of Object.keys(topics.dangers))
      if (!texts[id]) say(file, [], `danger "${id}" is missing in ${lang}`);
  }
  for (const [kind, ids] of [
    ["answers", answerIds],
    ["lights", Object.keys(topics.lights)],
    ["faults", Object.keys(topics.faults)],
    ["dangers", Object.keys(topics.dangers)],
  ] as const)
    for (const id of ids)
      if (!seen.has(id) && !book.entries.has(id))
        say(
          "topics.yaml",
          kind === "answers" ? [kind] : [kind, id],
          `no entry for "${id}" in ${kind}/`,
        );

  for (const van of book.vans.values()) {
    const file = `vans/${van.id}/van.yaml`;
    for (const f of [...van.has, ...Object.keys(van.lacks)])
      if (!book.features.has(f)) say(file, ["has"], unknown("feature", f, features));
    for (const f of features) {
      if (van.has.includes(f) && f in van.lacks)
        say(file, ["lacks", f], "listed as had and as lacking");
      if (!van.has.includes(f) && !(f in van.lacks))
        say(file, ["lacks"], `says nothing about "${f}": add it to has or lacks`);
    }
  }
  if (parts.firm) {
    const contacts = Object.keys(parts.firm.contacts);
    const isContact = (path: (string | number)[], id: string) => {
      if (!contacts.includes(id)) say("firm.yaml", path, unknown("contact", id, contacts));
    };
    for (const [path, id] of contactsNamed(parts.firm)) isContact(path, id);
    if (!book.regions.has(parts.firm.region))
      say("firm.yaml", ["region"], unknown("region", parts.firm.region, book.regions.keys()));
  }
  const resolves = (
    file: string,
    path: (string | number)[],
    text: string,
    fits: (van: VanType) => boolean,
  ) => {
    for (const { van, values } of places)
      for (const name of fits(van) ? named(text) : [])
        if (!values.has(name))
          say(file, path, `${unknown("placeholder", name, values.keys())} (for ${van.id})`);
  };
  for (const [id, rule] of Object.entries(parts.reminders?.rules ?? {})) {
    const concerned = (van: VanType) =>
      !rule.only.features || rule.only.features.some((f) => van.has.includes(f));
    const served = (van: VanType) => rule.variants.find((v) => van.has.includes(v.when));
    resolves(
      "reminders.yaml",
      ["rules", id, "text"],
      rule.text,
      (van) => concerned(van) && !served(van)?.text,
    );
    for (const [i, v] of rule.variants.entries())
      if (v.text)
        resolves(
          "reminders.yaml",
          ["rules", id, "variants", i, "text"],
          v.text,
          (van) => concerned(van) && served(van) === v,
        );
  }
  for (const [id, text] of Object.entries(parts.phrases ?? {}))
    resolves("phrases.yaml", [id], text, () => true);
  for (const [i, point] of book.handover.safety.entries())
    resolves("handover.yaml", ["safety", i, "say"], point.say, () => true);
  found.push(...examineHandover(book.handover, book.entries, book.features));
  for (const [id, rule] of Object.entries(parts.reminders?.rules ?? {}))
    for (const f of rule.only.features ?? [])
      if (!book.features.has(f))
        say("reminders.yaml", ["rules", id, "only", "features"], unknown("feature", f, features));
  return found;
}
