/** Danger as read by its signs, weighed with the model's view of it. Pure. */
import { concerns } from "../knowledge/book.js";
import type { VanType } from "../knowledge/placeholders.js";
import { dangerScale } from "./costs.js";
import type { Matcher } from "./items.js";
import type { Meant } from "./meant.js";
import { asksOutright } from "./reading/parts.js";
import { alarmOf } from "./scoring/alarm.js";
import { entryOf, round } from "./why.js";
import type { DangerVerdict } from "./words.js";

const isDanger = (matcher: Matcher, item: number) => entryOf(matcher, item)?.kind === "danger";

/** By how much BM25F scores the best danger above the best of all else. */
function leadOf(matcher: Matcher, { ranking }: Meant): number {
  let danger = 0;
  let other = 0;
  for (const i of matcher.items.keys()) {
    const score = ranking.bm[i] ?? 0;
    if (isDanger(matcher, i)) danger = Math.max(danger, score);
    else other = Math.max(other, score);
  }
  return danger - other;
}

/** Whether most words are common in English: one that another language shares is then no word of it. */
function isEnglish({ index: { lexicon } }: Matcher, { ranking }: Meant): boolean {
  const { tokens } = ranking.reading;
  const common = tokens.filter(
    ({ word, stem }) => lexicon.common.has(stem) || lexicon.analyser.stopWords.has(word),
  );
  return common.length >= 0.6 * tokens.length;
}

/** The danger layer's verdict, weighed with how likely the model holds any danger: log-odds added up. */
export function weighed(
  matcher: Matcher,
  van: VanType,
  read: DangerVerdict,
  m: Meant,
): DangerVerdict {
  if (read.cry) return read;
  const viewOf = (likely: Meant["likely"]) => {
    const among = likely.best.filter((b) => isDanger(matcher, b.item));
    return { among, p: among.reduce((sum, b) => sum + b.p, 0) };
  };
  // A danger that is plain by its signs is one in any piece of the message, whatever the others ask.
  const asked = m.parts.some((part) => asksOutright(part.text));
  const all = asked ? m.parts : [...m.parts, ...m.clauses];
  const pieces = read.verdict === "danger" ? all.map((part) => part.likely) : [];
  const { among, p } = [m.likely, ...pieces].map(viewOf).reduce((a, b) => (b.p > a.p ? b : a));
  const { sign, short, model, alarm, lead, base, danger, doubt, sure, clear } = dangerScale;
  const signs = read.weight ?? 0;
  // What was learnt knows no word of another language, so it hardly speaks against signs in one.
  const foreign = read.foreign && !isEnglish(matcher, m);
  const least = foreign ? -1 : -8;
  const within = (logOdds: number) => Math.max(least, Math.min(8, logOdds));
  const odds = within(Math.log((p + 1e-4) / (Math.max(0, 1 - p) + 1e-4)));
  const alarmed = matcher.index.alarm
    ? within(alarmOf(matcher.index.alarm, m.ranking.reading))
    : odds;
  const ahead = within(lead * leadOf(matcher, m));
  // Alarming words in a long story are often figures of speech.
  const told = Math.min(6, signs) * Math.min(1, short / m.ranking.reading.tokens.length);
  const sum = sign * told + model * odds + alarm * alarmed + ahead + base;
  const total = foreign && signs >= sure ? Math.max(sum, danger) : sum;
  const verdict = total >= danger ? "danger" : total >= doubt ? "doubt" : "none";
  // The model tells dangers from each other better than the signs do, unless they are many.
  const likeliest = among.find(({ item }) => {
    const entry = entryOf(matcher, item);
    return entry && concerns(entry, van);
  });
  const bySigns =
    read.verdict !== "none" && ((foreign && signs >= sure) || (likeliest?.p ?? 0) < clear);
  const id = bySigns ? read.id : (matcher.items[likeliest?.item ?? -1]?.id ?? read.id);
  const because = [
    ...read.because,
    `danger ${round(total)}: signs ${round(signs)}, model ${round(odds)}, alarm ${round(alarmed)}, lead ${round(ahead)}`,
  ];
  const lang = foreign && bySigns && read.lang ? { lang: read.lang } : {};
  return { verdict: id ? verdict : "none", because, ...(id ? { id } : {}), ...lang };
}
