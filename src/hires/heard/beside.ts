/** A further light or fault in one message: read from each of its parts as if it stood alone. Pure. */
import { gravityOf } from "../../knowledge/book.js";
import type { VanType } from "../../knowledge/placeholders.js";
import { type Choice, choose } from "../../matching/choose.js";
import type { Matcher } from "../../matching/matcher.js";
import type { DangerVerdict } from "../../matching/words.js";

/** Where one matter of a message ends and another may begin. */
const joints = /[,;.!\n]+|\b(?:and|plus|also)\b|[&+]/i;
/** A part tells of no further trouble where it denies, supposes, asks or looks back. */
const notSo =
  /\b(?:no|not|never|without|if|whether|how|when|why|what|where|was|were|been|since|had|would|could|should)\b|n[o']t\b|\?/i;
/** How clear a part must be to be opened beside what the whole message was read as. Set by hand, not tuned. */
const clearPart = 0.75;
const longestJoined = 160;

/**
 * A light or fault that one part of the message tells as clearly as if it stood alone ("tyre completely flat
 * and amber abs light"): it is opened too, the worse first.
 */
export function withTroubleBeside(
  choice: Choice,
  matcher: Matcher,
  van: VanType,
  text: string,
): Choice {
  const { book } = matcher;
  const [lead] = choice.entries;
  const sure =
    choice.answered === 1 && (choice.outcome === "triage" || choice.outcome === "answer");
  if (!lead || choice.danger || text.length > longestJoined) return choice;
  if (!sure && choice.outcome !== "choices") return choice;
  const parts = text.split(joints).filter((part) => part.trim().split(/\s+/).length >= 3);
  if (parts.length < 2 || parts.length > 4) return choice;
  const found = parts.flatMap((part) => troubleIn(part, matcher, van) ?? []);
  const all = sure ? [lead, ...found] : found;
  const [one, two] = all.filter((e, i) => all.findIndex((x) => x.id === e.id) === i);
  if (!one || !two) return choice;
  const rank = ({ id }: { id: string }) => gravityOf(book.entries.get(id));
  const told = [one, two].sort((a, b) => rank(a) - rank(b));
  const rest = choice.entries.filter((e) => !told.some((t) => t.id === e.id));
  choice.why.because.push(`two troubles: ${told.map((e) => e.id).join(", ")}`);
  return { ...choice, outcome: "triage", answered: 2, entries: [...told, ...rest].slice(0, 3) };
}

/** The light or fault that a part of a message tells by itself. */
function troubleIn(
  part: string,
  matcher: Matcher,
  van: VanType,
): Choice["entries"][number] | undefined {
  if (notSo.test(part.replace(/\b(?:can|wo|does|do|is)n'?t\b/gi, ""))) return undefined;
  const calm: DangerVerdict = { verdict: "none", because: [] };
  const { outcome, answered, entries } = choose(matcher, { text: part, van, danger: calm });
  const [one] = entries;
  const kind = matcher.book.entries.get(one?.id ?? "")?.kind;
  const isTrouble =
    outcome === "triage" && answered === 1 && (kind === "light" || kind === "fault");
  return isTrouble && one && one.p >= clearPart ? one : undefined;
}
