/** What hirers tell of place and need while a matter is open: noted, shown to staff, and it raises the hurry. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { awake, press, type Told, tells } from "../../callouts/steps.js";
import { sameStop } from "../../callouts/together.js";
import { soundsUnsafe } from "../../place/read.js";
import type { Need } from "../../post.js";
import { isGrave } from "../../severity.js";
import { readNeeds } from "../../triage/needs.js";
import { alertedLine, relay, ringWorse } from "../alarm.js";
import type { Person } from "../hire.js";
import { line, openCallout, put, type Turn, tell } from "../turn.js";
import { needList } from "./questions.js";
import { hearFrom } from "./silence.js";

/** What words tell of place and need without being asked. */
export function toldIn(turn: Turn, words: string): Told {
  const needs: Need[] = readNeeds(words, turn.van.fuel === "electric");
  return soundsUnsafe(words) ? { needs: ["unsafe-place", ...needs], safe: false } : { needs };
}

/**
 * Notes on an open matter what words tell beside it; the words themselves are passed on by the caller. True
 * when the hirer was told of new needs.
 */
export function noteTold(turn: Turn, person: Person, n: number, words: string): boolean {
  const c = turn.hire.callouts.find((one) => one.n === n && one.state !== "done");
  if (!c) return false;
  const told = toldIn(turn, words);
  const fresh = told.needs.filter((need) => !c.needs?.includes(need));
  const others = sameStop(turn.hire.callouts, c);
  const { firm } = turn.facts.book;
  for (const one of [c, ...others]) {
    put(turn, tells(fresh.length > 0 ? roused(turn, one) : one, told, firm, turn.now));
    if (told.needs.length > 0) hearFrom(turn, one.n);
  }
  if (fresh.length === 0) return false;
  hurry(turn, person, c, fresh, true);
  hurryOthers(turn, person, n, others, fresh);
  return true;
}

/** Marks needs that were chosen by button. */
export function inNeed(turn: Turn, person: Person, n: number, needs: readonly Need[]): void {
  const c = turn.hire.callouts.find((one) => one.n === n && one.state !== "done");
  if (!c || (c.urgent && needs.every((need) => c.needs?.includes(need)))) {
    turn.because.push("ignored: known already");
    return;
  }
  const others = sameStop(turn.hire.callouts, c);
  for (const one of [c, ...others]) {
    const pressed = press(roused(turn, one), needs, turn.facts.book.firm, turn.now);
    put(turn, needs.includes("unsafe-place") ? { ...pressed, placeSafe: false } : pressed);
    // What was quiet until the morning, or for a promised call, is not so for long any more.
    hearFrom(turn, one.n);
  }
  hurry(turn, person, c, needs);
  hurryOthers(turn, person, n, others, needs);
}

/** What becomes urgent now waits for the morning no longer. */
const roused = (turn: Turn, c: Callout): Callout =>
  c.urgent ? c : awake(c, turn.facts.book.firm, turn.now);

/** Nobody is in need, they say: it is so for every matter for which the van stands there. */
export function nobodyInNeed(turn: Turn, n: number): void {
  const c = openCallout(turn, n);
  if (!c) return;
  for (const one of [c, ...sameStop(turn.hire.callouts, c)])
    put(turn, { ...one, needs: one.needs ?? [] });
}

const saidOf = (turn: Turn, fresh: readonly Need[]): string =>
  `(${needList(turn, fresh) || line(turn, "urgent-words")})`;

/** Gets somebody sooner for the other matters of the same stop, as they were before; the hirer hears of it once. */
function hurryOthers(
  turn: Turn,
  person: Person,
  n: number,
  others: readonly Callout[],
  fresh: readonly Need[],
): void {
  for (const was of others) {
    const c = openCallout(turn, was.n);
    // The alert of the one that leads names what was opened beside it.
    if (!c || c.beside === n) continue;
    if (c.state === "nobody-yet" && !was.urgent) ringWorse(turn, was, c);
    else relay(turn, person, c, saidOf(turn, fresh));
  }
}

/** Gets somebody sooner for what was so before, or tells whoever has it; one message to the hirer says what is true. */
function hurry(
  turn: Turn,
  person: Person,
  was: Callout,
  fresh: readonly Need[],
  inWords = false,
): void {
  const { n } = was;
  const c = openCallout(turn, n);
  if (!c) return;
  const lines = [noted(turn, fresh)];
  if (c.state === "nobody-yet" && !was.urgent)
    lines.push(alertedLine(turn, ringWorse(turn, was, c)));
  else if (!inWords) {
    const told = relay(turn, person, c, saidOf(turn, fresh));
    if (!told) lines.push(line(turn, "alerted-none"));
  }
  tell(
    turn,
    person,
    { text: lines.join("\n") },
    { safety: isGrave(c.severity), callout: n, severity: c.severity },
  );
  turn.because.push(`urgent: ${fresh.join(", ") || "it cannot wait"}`);
}

/** What is said first: an unsafe place has both numbers at once. */
function noted(turn: Turn, fresh: readonly Need[]): string {
  if (fresh.includes("unsafe-place")) return line(turn, "ring-roadside-now");
  return fresh.length > 0
    ? line(turn, "noted-need", { needs: needList(turn, fresh) })
    : line(turn, "noted-urgent");
}
