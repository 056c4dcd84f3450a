/** A telephone call that staff write down: it stands in the trip log, and may open a call-out. Pure. */
import type { Callout } from "../../callouts/callout.js";
import type { DeskAct } from "../../post.js";
import { callOut } from "../alarm.js";
import { personOf, type Turn } from "../turn.js";
import { taken } from "./holding.js";

export type Call = Extract<DeskAct, { do: "call" }>;
/** Letters of what the call was about that make the title of its call-out. */
const titleMost = 80;

/**
 * Keeps the call. Where it opens a call-out: with whoever took the call (`mine`), or put to the others by the
 * call order. Each call is a matter of its own. Gives the call-out; undefined where none is opened.
 */
export function called(turn: Turn, by: string, act: Call): Callout | undefined {
  turn.because.push(`call written down by ${by}`);
  const person = personOf(turn.hire, act.person);
  if (!act.opens || !person) return undefined;
  const { severity, mine, ringAt } = act.opens;
  const kind = severity === "danger" ? "danger" : severity === "note" ? "person" : "fault";
  const matter = `call:${turn.arrival.key}`;
  const title = act.about.slice(0, titleMost);
  const { callout } = callOut(
    turn,
    person,
    { kind, matter, title, severity, words: act.about },
    mine,
  );
  // A promised ring takes it as well.
  if (mine && ringAt === undefined) taken(turn, callout, by);
  return turn.hire.callouts.find((c) => c.n === callout.n);
}
