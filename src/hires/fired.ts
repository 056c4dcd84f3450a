/** A due has come: the next contact, a promise, a hear-from, a reminder. A stale one changes nothing. Pure. */
import { awake } from "../callouts/steps.js";
import type { Matter } from "../post.js";
import { isNight, morningAfter } from "../triage/order.js";
import { alertedLine, ring } from "./alarm.js";
import { offerDue, ownerDue } from "./callouts/owner.js";
import { phoneDue } from "./callouts/phone.js";
import { roadsideDue } from "./callouts/roadside.js";
import { silent } from "./callouts/silence.js";
import { isBack, status, triedFor } from "./callouts/told.js";
import { noticeDue } from "./care/notices.js";
import { replyMissing } from "./care/replies.js";
import { taskDue } from "./care/tasks.js";
import { remind } from "./care.js";
import { doubtDue } from "./heard/doubt.js";
import { unreadDue } from "./said/unread.js";
import { handingOver } from "./shifts/hand-over.js";
import { line, setDue, type Turn } from "./turn.js";

/** What happens when this due is reached. */
export function fired(turn: Turn, matter: Matter, generation: number): void {
  if (matter.kind === "reminder") return remind(turn, generation);
  if (matter.kind === "reply-missing") return replyMissing(turn, matter.key);
  if (matter.kind === "doubt") return doubtDue(turn, matter.person);
  if (matter.kind === "unread") return unreadDue(turn, matter.person);
  if (matter.kind === "notice") return noticeDue(turn, matter.id);
  if (matter.kind === "hand-over") return handingOver(turn, matter.callout, matter.from, matter.to);
  if (matter.kind === "shift" || matter.kind === "shift-test" || matter.kind === "stranger") {
    turn.because.push(`ignored: ${matter.kind} in a hire`);
    return;
  }
  const callout = turn.hire.callouts.find((c) => c.n === matter.callout);
  // The others look at the state itself whether they are still meant.
  const stale =
    !callout ||
    callout.state === "done" ||
    (matter.kind === "next-contact" && generation !== callout.generation);
  if (stale) {
    turn.because.push(`ignored: stale ${matter.kind}`);
    return;
  }
  if (matter.kind === "next-contact") {
    if (callout.state !== "nobody-yet") {
      turn.because.push("ignored: somebody has it");
      return;
    }
    const { firm } = turn.facts.book;
    const back = isBack(turn.hire, callout);
    const canSleep = back || (callout.severity === "note" && !callout.urgent);
    if (canSleep && isNight(firm, turn.now)) {
      // A question wakes nobody, nor does what is wrong with a van that is back.
      const morning = morningAfter(firm, turn.now);
      setDue(turn, `callout:${callout.n}:next`, morning, matter, callout.generation);
      turn.because.push("waits for the morning");
      return;
    }
    const known = triedFor(callout);
    const reached = ring(turn, awake(callout, firm, turn.now));
    const someNew = reached.some((id) => !known.includes(id));
    // What was agreed to wait, or was told beside another, is alerted for the first time.
    const isFirst = known.length === 0 || callout.waitsUntil !== undefined;
    const text = `${alertedLine(turn, reached, isFirst ? "alerted" : someNew ? "alerted-next" : "alerted-again")}${callout.severity === "note" ? "" : `\n${line(turn, "meanwhile-stop")}`}`;
    // A hirer hears of each new contact and of each fresh round, not of every repeat of a danger alert.
    const often = callout.severity === "danger" || callout.severity === "note";
    const asleep = callout.severity === "soon" && isNight(firm, turn.now);
    if (back || (asleep && known.length > 0)) return;
    if (!often || someNew || callout.round % 5 === 4) status(turn, callout.n, text);
    return;
  }
  if (matter.kind === "ring-today") return taskDue(turn, callout);
  if (matter.kind === "promise") return ownerDue(turn, callout.n);
  if (matter.kind === "phone") return phoneDue(turn, callout.n);
  if (matter.kind === "roadside") return roadsideDue(turn, callout.n);
  if (matter.kind === "offer") return offerDue(turn, callout.n);
  return silent(turn, callout.n);
}
