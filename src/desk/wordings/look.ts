/** What a new wording would change: on itself, on asks set aside, on recent messages. Yields between messages. */
import { setImmediate as breathe } from "node:timers/promises";
import { after, type Instant } from "../../calendar.js";
import { concerns } from "../../knowledge/book.js";
import { takenFor } from "../../matching/choose.js";
import type { Matcher, Taught } from "../../matching/matcher.js";
import type { Index } from "../../matching/scoring/rank.js";
import { teach } from "../../matching/teach.js";
import type { Db } from "../../store/tables.js";
import { heardSince } from "../../store/wordings/heard.js";
import { nearest, type Vector, vectorOf } from "../../wordings/alike.js";
import {
  type Change,
  changeOf,
  type Looked,
  type Sample,
  sorted,
  type Trial,
  type Verdict,
  verdictOf,
} from "../../wordings/changes.js";
import { missed } from "../../wordings/missed.js";
import { plain } from "../../wordings/plain.js";

export const recentDays = 60;
/** So many asks and messages are read twice: those most like the wording, which it can change. */
const most = { asks: 400, recent: 300 };

export type Look = {
  wording: Taught;
  /** The wording itself, for each van type that the entry concerns. */
  own: { van: string; before: Verdict; after: Verdict }[];
  asks: Looked;
  recent: Looked;
};

/** Vectors of many texts; what is urgent gets its turn between them. */
export async function vectorsOf(index: Index, texts: readonly string[]): Promise<Vector[]> {
  const vectors: Vector[] = [];
  for (const text of texts) {
    await breathe();
    vectors.push(vectorOf(index, text));
  }
  return vectors;
}

/** Messages in words of the last weeks, each text once for a van. */
async function recentSamples(db: Db, now: Instant): Promise<Sample[]> {
  const heard = await heardSince(db, after(now, -recentDays * 24 * 60));
  const chose = new Map(
    missed(heard).flatMap((m) => (m.chose ? [[`${m.lane} ${m.n}`, m.chose]] : [])),
  );
  const samples = new Map<string, Sample>();
  for (const { lane, n, text, van, tap, because, names } of heard) {
    if (tap !== undefined || !takenFor(because)) continue;
    const words = plain(text, names);
    const want = chose.get(`${lane} ${n}`);
    samples.set(`${van} ${words}`, { text: words, van, ...(want ? { want } : {}) });
  }
  return [...samples.values()];
}

async function onRecent(
  before: Matcher,
  then: Matcher,
  ask: string,
  all: Sample[],
): Promise<Looked> {
  const texts = all.map((s) => s.text);
  const vectors = await vectorsOf(before.index, texts);
  const near = nearest(vectorOf(before.index, ask), vectors, most.recent);
  const changes: Change[] = [];
  for (const i of near) {
    await breathe();
    const sample = all[i];
    const change = sample && changeOf(before, then, sample);
    if (change) changes.push(change);
  }
  return { looked: near.length, of: all.length, changes: sorted(changes) };
}

/** Looks at all of it; undefined where trying the asks takes too long. @throws where they cannot be tried */
export async function lookAt(
  matcher: Matcher,
  wording: Taught,
  { db, trial, now }: { db: Db; trial: Trial; now: Instant },
): Promise<Look | undefined> {
  const then = teach(matcher, wording);
  const entry = matcher.book.entries.get(wording.entry);
  const vans = [...matcher.book.vans.values()].filter((van) => entry && concerns(entry, van));
  const own = vans.flatMap(({ id }) => {
    const sample = { text: wording.ask, van: id };
    const [before, after] = [verdictOf(matcher, sample), verdictOf(then, sample)];
    return before && after ? [{ van: id, before, after }] : [];
  });
  const [asks, recent] = await Promise.all([
    trial.ask(matcher.taught, wording, most.asks),
    recentSamples(db, now).then((all) => onRecent(matcher, then, wording.ask, all)),
  ]);
  return asks && { wording, own, asks, recent };
}

const all = ({ asks, recent }: Look) => [...asks.changes, ...recent.changes];
const ownUnsafe = ({ own }: Look) => own.some((o) => o.before.gravity === 0 && o.after.gravity > 0);
const ownWorse = ({ own }: Look) => own.some((o) => o.after.gravity > o.before.gravity);

/** `no`: it would take a danger away · `look`: something gets worse, which must be ticked · `yes`. */
export function mayKeep(look: Look): "no" | "look" | "yes" {
  if (ownUnsafe(look) || all(look).some((c) => c.kind === "unsafe")) return "no";
  return ownWorse(look) || all(look).some((c) => c.kind === "worse") ? "look" : "yes";
}
