/** A telephone call that staff write down: it stands in the trip log, and may open a call-out. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { callMatter } from "../../callouts/whose.js";
import type { DeskAct } from "../../post.js";
import { callOut } from "../alarm.js";
import { line, personOf, type Turn } from "../turn.js";
import { taken } from "./holding.js";

type Call = Extract<DeskAct, { do: "call" }>;

/**
 * Keeps the call. Where it opens a call-out: with whoever took the call (`mine`), or put to the others by the
 * call order. Each call is a matter of its own, and what was told is its words only: titles are read by others too.
 * Gives the call-out; undefined where none is opened.
 */
export function called(turn: Turn, by: string, act: Call): Callout | undefined {
  turn.because.push(`call written down by ${by}`);
  const person = personOf(turn.hire, act.person);
  if (!act.opens || !person) return undefined;
  const { severity, mine, ringAt } = act.opens;
  const kind = severity === "danger" ? "danger" : severity === "note" ? "person" : "fault";
  const matter = callMatter(turn.arrival.key);
  const title = line(turn, "told-by-telephone");
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
