/** Faults between hires: what is reported goes to the van's own lane, and what is known is told to the next hirer. Pure. */

import { isTask } from "../../callouts/steps.js";
import { isCall } from "../../callouts/whose.js";
import { staysOnVan } from "../../knowledge/handover/points.js";
import { fill } from "../../knowledge/placeholders.js";
import { vanLane } from "../../lanes.js";
import type { Severity } from "../../severity.js";
import { callOrder } from "../../triage/order.js";
import { holdsBack, openFaults, releaseOf } from "../../vans/blocks.js";
import type { VanAct, VanFault } from "../../vans/van.js";
import { hasBegun, type Person } from "../hire.js";
import { line, reminded, type Turn, tell, tellAll, tellContact } from "../turn.js";

/** Puts an act into the lane of a van, by itself this hire's; it is stored with this turn. */
export function toVan(turn: Turn, by: string, act: VanAct, van = turn.hire.booking.van): void {
  const { registration, type } = van;
  turn.posts.push({
    key: `${turn.arrival.key}:van${turn.posts.length + 1}`,
    lane: vanLane(registration),
    receivedAt: turn.now,
    body: { kind: "van", by, registration, type, act },
  });
}

type Told = { kind: string; matter: string; title: string; severity: Severity; words: string };

/**
 * A fault that hirers report stays on the van, whatever becomes of its call-out, also where they think of it
 * after the return. A danger then is where they are now. Before the day of pick-up others have the van. What was told on the telephone holds the van as well, and
 * its words stay in the hire.
 */
export function reportOnVan(turn: Turn, person: Person, told: Told): void {
  const { kind, matter, title, severity } = told;
  const words = isCall(told) ? "" : told.words;
  const isBack = turn.hire.returnRecordAt !== undefined;
  if (isTask(told) || (isBack && kind === "danger")) return;
  if (!isCall(told) && !hasBegun(turn.hire, turn.now)) return;
  if (!staysOnVan(kind, matter, turn.facts.book.handover)) return;
  toVan(turn, person.name, { do: "reported", matter, title, severity, words, hire: turn.hire.id });
}

/**
 * Tells what was reported on this van before this hire, is still open, and was not told to it yet; of what was told on
 * the telephone no word. Where it holds the van back, everybody is told not to drive it yet, and staff that they were.
 */
export function tellKnownFaults(turn: Turn): void {
  const { van } = turn.facts;
  if (!van || van.registration !== turn.hire.booking.van.registration) return;
  const { faultsTold = [] } = turn.hire;
  const keyOf = ({ n }: VanFault) => `${van.registration}:${n}`;
  // What held the van back and was released since is told as what it is now.
  const heldKeyOf = (f: VanFault) => `held:${keyOf(f)}`;
  const before = openFaults(van).filter((f) => f.reports[0]?.hire !== turn.hire.id);
  const holding = before.filter((f) => holdsBack(van, f));
  const held = holding.filter((f) => !faultsTold.includes(heldKeyOf(f)));
  const known = before.filter(
    (f) => !isCall(f) && !holding.includes(f) && !faultsTold.includes(keyOf(f)),
  );
  turn.hire.faultsTold = [...faultsTold, ...held.map(heldKeyOf), ...known.map(keyOf)];
  if (held.length > 0) tellHeld(turn, held);
  if (known.length === 0) return;
  const isReleased = known.some((f) => releaseOf(van, f) !== undefined);
  const faults = titlesOf(turn, known);
  const text = line(turn, isReleased ? "known-faults-released" : "known-faults", { faults });
  for (const person of reminded(turn.hire)) tell(turn, person, { text }, { everywhere: true });
  turn.because.push(`known faults told: ${known.map((f) => f.matter).join(", ")}`);
}

const titlesOf = (turn: Turn, faults: readonly VanFault[]): string =>
  faults.map((f) => fill(f.title, turn.voice.values)).join("; ");

/** The van may not go out: neither do its hirers drive it, nor are they the only ones who know. */
function tellHeld(turn: Turn, held: readonly VanFault[]): void {
  const { firm } = turn.facts.book;
  const { van, surname } = turn.hire.booking;
  const named = held.filter((f) => !isCall(f));
  const why =
    named.length > 0 ? [line(turn, "van-held-why", { faults: titlesOf(turn, named) })] : [];
  tellAll(turn, { text: [line(turn, "van-held"), ...why].join(" ") }, { safety: true });
  const words = { surname, registration: van.registration, faults: titlesOf(turn, held) };
  const how = { safety: true, ring: true, severity: "stop" } as const;
  const duty = callOrder(firm, "person", turn.now).find((id) =>
    tellContact(turn, id, { text: line(turn, "van-held-staff", words) }, how),
  );
  turn.because.push(`told not to drive a van that is held back; told ${duty ?? "nobody"}`);
}
