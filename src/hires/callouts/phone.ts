/** "I am on the phone with them": nobody nags meanwhile; then it is asked how the call ended. Pure. */
import { after } from "../../calendar.js";
import { take } from "../../callouts/steps.js";
import { openBy } from "../../callouts/together.js";
import { staffButtons } from "../../wording/staff-taps.js";
import { line, nameOf, put, setDue, staffClock, type Turn, tellContact, vanOf } from "../turn.js";
import { owns } from "./holding.js";
import { awaitSign, sign } from "./owner.js";
import { heardFrom } from "./silence.js";
import { rungAbout, status } from "./told.js";

/** After so many minutes a call is asked about; without an answer once more, then nagging goes on. */
const askedAfterMin = 15;
const againAfterMin = 10;

const due = (turn: Turn, n: number, minutes: number | null) =>
  setDue(
    turn,
    `callout:${n}:phone`,
    minutes === null ? null : after(turn.now, minutes),
    { kind: "phone", callout: n },
    0,
  );

/** The contact is on the phone with the hirer. What nobody has becomes theirs; another owner keeps it and is told. */
export function phone(turn: Turn, n: number, by: string): void {
  const known = turn.hire.callouts.find((c) => c.n === n);
  if (!known) return;
  const { callout: c, became } = take(known, by);
  const same = known.phone?.by === by ? known.phone : undefined;
  put(turn, { ...c, phone: { by, since: same?.since ?? turn.now, asked: 0 } });
  if (became === "taken") owns(turn, known, by);
  due(turn, n, askedAfterMin);
  const who = rungAbout(turn.hire, c)?.name ?? "the hirer";
  heardFrom(turn, openBy(turn.hire.callouts, c.person), who, after(turn.now, askedAfterMin));
  const how = { callout: n, severity: c.severity, safety: true } as const;
  if (c.with === by) sign(turn, n, by, true);
  else if (c.with) {
    const text = `${nameOf(turn, by)} is on the phone with ${who} about "${c.title}". It is still with you.`;
    tellContact(turn, c.with, { text }, how);
  }
  turn.because.push(`${by} is on the phone with them`);
  if (!same) status(turn, n, line(turn, "on-phone", { name: nameOf(turn, by) }));
}

/** The call is over: whoever was on the phone told what follows, or has done it. */
export function hangUp(turn: Turn, n: number, by: string): void {
  const c = turn.hire.callouts.find((one) => one.n === n);
  if (c?.phone?.by !== by) return;
  const { phone: _over, ...rest } = c;
  put(turn, rest);
  due(turn, n, null);
}

/** The due: how did the call end? Unanswered, the call counts as over; the promised call, or else a sign of the owner, is awaited again. */
export function phoneDue(turn: Turn, n: number): void {
  const c = turn.hire.callouts.find((one) => one.n === n);
  if (!c?.phone || c.state === "done") {
    turn.because.push("ignored: nobody is on the phone");
    return;
  }
  const { by, since, asked } = c.phone;
  const b = staffButtons(turn.hire.id, n);
  const text = `You were on the phone about "${c.title}" (${vanOf(turn, c).registration}) from ${staffClock(turn, since)}. How did it end?`;
  const buttons = [b.stillOn, b.heard, b.ring, b.end];
  const how = { callout: n, severity: c.severity, safety: true } as const;
  if (asked === 0 && tellContact(turn, by, { text, buttons }, how)) {
    put(turn, { ...c, phone: { by, since, asked: 1 } });
    due(turn, n, againAfterMin);
    turn.because.push(`asked ${by} how the call ended`);
    return;
  }
  const { phone: _over, ...rest } = c;
  put(turn, rest);
  if (c.promisedAt === undefined) awaitSign(turn, n, true);
  turn.because.push("how the call ended was not told");
}
