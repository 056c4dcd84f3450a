/** While a danger is open staff read every word, and nothing else is answered until they end it. Pure. */
import type { Callout } from "../../callouts/callout.js";
import { fill } from "../../knowledge/placeholders.js";
import { saysOver } from "../../triage/over.js";
import { relay } from "../alarm.js";
import { isNumber } from "../callouts/settle.js";
import type { Person } from "../hire.js";
import { line, nameOf, type Turn, talkOf, tell } from "../turn.js";
import type { Choice } from "../understand.js";

/** The danger among the open matters of a person; the first where there are several. */
export const dangerOf = (open: readonly Callout[]): Callout | undefined =>
  open.find((c) => c.severity === "danger");

/** What is said while it is open: that it is over, something that asks for an answer, or anything else. */
type Beside = "over" | "asks" | "says";

/** What words are that were understood as this choice; a number asks for nothing. */
export function besideOf(words: string, { outcome, doubt }: Choice): Beside {
  if (saysOver(words)) return "over";
  return outcome !== "person" && !doubt && !isNumber(words) ? "asks" : "says";
}

/**
 * The number once more, who reads what was said, and no question. `told`: whether it reached staff. Who asks how to
 * do something reads first what saves life.
 */
export function stillInDanger(
  turn: Turn,
  person: Person,
  c: Callout,
  told: boolean,
  what: Beside,
): void {
  const entry = turn.facts.book.entries.get(c.matter);
  const asks = what === "asks" && entry?.kind === "danger";
  const act = asks ? [fill(entry.text.first, turn.voice.values)] : [];
  if (what === "over") act.push(line(turn, "danger-over"));
  const status = !told
    ? `${line(turn, "doubt")}\n${line(turn, "alerted-none")}`
    : c.state === "with"
      ? line(turn, "relayed", { name: nameOf(turn, c.with ?? "") })
      : line(turn, "danger-told");
  const text = [...act, status, ...(asks ? [line(turn, "danger-only")] : [])].join("\n");
  tell(turn, person, { text }, { safety: true, callout: c.n, severity: "danger" });
}

const labels = new Map([
  ["ok", "that-worked"],
  ["else", "something-else"],
  ["none", "none-of-these"],
]);

/** What a button of an ordinary answer or choice says; undefined for every other, and where it tells of a danger. */
function labelOf(turn: Turn, kind: string, id: string): string | undefined {
  const label = labels.get(kind);
  if (label) return line(turn, label);
  const entry = kind === "e" ? turn.facts.book.entries.get(id) : undefined;
  const isDanger = entry?.kind === "danger" || (entry?.kind === "fault" && entry.sameAs);
  return entry && !isDanger ? fill(entry.title, turn.voice.values) : undefined;
}

/** A button of an older answer or choice while a danger is open: passed on, not acted on. False for any other. */
export function heldBack(turn: Turn, person: Person, danger: Callout, tap: string): boolean {
  const [kind = "", id = ""] = tap.split(":");
  const label = labelOf(turn, kind, id);
  if (label === undefined) return false;
  const told = relay(turn, person, danger, label);
  stillInDanger(turn, person, danger, told, kind === "e" ? "asks" : "says");
  return true;
}

/** Whether a button is one of a question that is asked now; a number by text is no other while a danger is open. */
export function isAsked(turn: Turn, person: Person, tap: string): boolean {
  const [kind = "", a = "", b = ""] = tap.split(":");
  const { asking, doubt } = talkOf(turn, person.id);
  if (kind === "rs") return true;
  if (kind === "doubt") return doubt !== undefined;
  if (kind === "c") return asking?.steps[0] === "check" && asking.entry === a;
  return asking?.steps[0] === kind && (asking.callout ?? 0) === Number(b);
}
