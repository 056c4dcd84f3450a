/** The matters of one message: what its parts, each read alone, clearly tell or ask. Pure. */
import { concerns, type Entry, gravityOf, isTrouble, mayBe } from "../../knowledge/book.js";
import type { VanType } from "../../knowledge/placeholders.js";
import { second } from "../costs.js";
import type { Matcher } from "../items.js";
import type { Meant, Piece } from "../meant.js";
import { entryOf } from "../why.js";
import { asksOutright, reportsFailing } from "./parts.js";

/** `own`: a trouble of now that a clause tells in words of its own. `near`: what else that clause may mean. */
export type Matter = { entry: Entry; p: number; i: number; own: boolean; near: readonly string[] };

/** How likely it is that a part tells any trouble at all: which of two that resemble each other matters less. */
const troubleShare = (matcher: Matcher, { likely }: Piece): number =>
  likely.best.reduce((sum, { item, p }) => {
    const entry = entryOf(matcher, item);
    return isTrouble(entry) || entry?.kind === "danger" ? sum + p : sum;
  }, 0);

/**
 * Whether a clause tells a trouble of now in words of its own, so that it needs no part in the whole. Beside a
 * question it must be all but sure.
 */
function isOwn(matcher: Matcher, part: Piece, entry: Entry, asked: boolean): boolean {
  const p = part.likely.best[0]?.p ?? 0;
  const fails = reportsFailing(part.text, asked);
  return (
    part.tells &&
    isTrouble(entry) &&
    p >= (fails ? second.alone : second.sure) &&
    troubleShare(matcher, part) >= second.kind
  );
}

/** Whether a part is clear about its likeliest entry; what is only told as background has little part in the whole. */
function isClear(part: Piece, entry: Entry, m: Meant): boolean {
  const [best] = part.likely.best;
  const p = best?.p ?? 0;
  const [lead] = m.likely.best;
  const whole = m.likely.best.find((b) => b.item === best?.item)?.p ?? 0;
  if (isTrouble(entry)) return p >= second.trouble && whole >= second.whole;
  if (part.tells && reportsFailing(part.text, false)) return p >= second.told;
  if (part.asks) return p >= (best?.item === lead?.item ? second.leading : second.asked);
  return p >= second.told && whole >= second.share;
}

/** What the parts of a message are clear about, each entry of this van once: the worst first, then as they stand. */
export function mattersOf(matcher: Matcher, van: VanType, m: Meant): Matter[] {
  const found: Matter[] = [];
  const asked = m.parts.some((part) => asksOutright(part.text));
  for (const [i, part] of [...m.parts, ...m.clauses].entries()) {
    const [best] = part.likely.best;
    const entry = entryOf(matcher, best?.item);
    if (!best || !entry || entry.kind === "courtesy" || entry.kind === "danger") continue;
    if (!concerns(entry, van)) continue;
    const own = isOwn(matcher, part, entry, asked);
    const before = found.find((f) => f.entry.id === entry.id);
    if (before) Object.assign(before, { p: Math.max(before.p, best.p), own: before.own || own });
    else if (own || isClear(part, entry, m))
      found.push({ entry, p: best.p, i, own, near: nearIn(matcher, part) });
  }
  return inOrder(found.filter((f) => !isSaidBetter(f, found)));
}

const nearIn = (matcher: Matcher, { likely }: Piece): string[] =>
  likely.best.flatMap(({ item, p }) =>
    p >= second.whole ? (entryOf(matcher, item)?.id ?? []) : [],
  );

/**
 * Whether a clause only tells vaguely what is clear from others, or a fault whose own questions would lead to one of
 * them that is no less grave: "the van wont start, it just clicks".
 */
export const isSaidBetter = (f: Matter, others: readonly { entry: Entry; p: number }[]): boolean =>
  others.some(
    ({ entry, p }) =>
      entry !== f.entry &&
      ((p > f.p && f.near.includes(entry.id)) ||
        (mayBe(f.entry, entry.id) && gravityOf(entry) <= gravityOf(f.entry))),
  );

/** The worst first; questions in the order they were asked. */
export const inOrder = (matters: readonly Matter[]): Matter[] =>
  [...matters].sort((a, b) => gravityOf(a.entry) - gravityOf(b.entry) || a.i - b.i);

/** An answer and the trouble that it is about are one matter: "I put in the wrong fuel, what must I do?" */
export function twins(a: Entry, b: Entry): boolean {
  if ((a.kind === "answer") === (b.kind === "answer")) return false;
  const named = (one: Entry, other: Entry) =>
    one.kind !== "courtesy" && one.text?.related.includes(other.id);
  return Boolean(named(a, b) || named(b, a));
}
