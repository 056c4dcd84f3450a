/** Notices of staff to many hires: told once the van is out, seen or not seen. Outside the daily limit of reminders. Pure. */
import { concernsHire } from "../../bookings/audience.js";
import type { Notice } from "../../post.js";
import type { HireNotice, Person } from "../hire.js";
import { line, nameOf, setDue, type Turn, tell, tellAll } from "../turn.js";

const noticesOf = (turn: Turn): HireNotice[] => {
  turn.hire.notices ??= [];
  return turn.hire.notices;
};

/** Staff tell this hire something: at once, or at pick-up where that is to come. */
export function notice(turn: Turn, by: string, given: Notice): void {
  if (noticesOf(turn).some((n) => n.id === given.id)) {
    turn.because.push("ignored: this notice is known");
    return;
  }
  const kept: HireNotice = { ...given, by, seen: {} };
  noticesOf(turn).push(kept);
  tellOrWait(turn, kept);
}

/** A notice that waited for the pick-up. */
export function noticeDue(turn: Turn, id: string): void {
  const kept = noticesOf(turn).find((n) => n.id === id);
  if (kept && kept.toldAt === undefined) return tellOrWait(turn, kept);
  turn.because.push("ignored: this notice was told");
}

/** Staff have ended it: what waits here for the pick-up is not told any more. */
export function noticeEnded(turn: Turn, id: string): void {
  const kept = noticesOf(turn).find((n) => n.id === id);
  if (!kept || kept.toldAt !== undefined) {
    turn.because.push("ignored: no such notice waits");
    return;
  }
  kept.until = turn.now;
  setDue(turn, `notice:${id}`, null, { kind: "notice", id }, 0);
  turn.because.push(`notice ${id} not told: it was ended`);
}

/** The pick-up may have moved. */
export function noticesAnew(turn: Turn): void {
  for (const kept of noticesOf(turn)) if (kept.toldAt === undefined) tellOrWait(turn, kept);
}

function tellOrWait(turn: Turn, kept: HireNotice): void {
  const { pickupAt, region, van } = turn.hire.booking;
  if (turn.hire.booking.status === "cancelled" || turn.hire.returnRecordAt !== undefined) {
    turn.because.push(`notice ${kept.id} not told: the hire is over`);
    return;
  }
  if (kept.to && !concernsHire(kept.to, { region, van_type: van.type })) {
    turn.because.push(`notice ${kept.id} not told: it is about others now`);
    return;
  }
  const at = turn.now < pickupAt ? pickupAt : null;
  setDue(turn, `notice:${kept.id}`, at, { kind: "notice", id: kept.id }, 0);
  if (at !== null) {
    turn.because.push(`notice ${kept.id} waits for the pick-up`);
    return;
  }
  if (kept.until !== undefined && turn.now >= kept.until) {
    turn.because.push(`notice ${kept.id} not told: its time is over`);
    return;
  }
  kept.toldAt = turn.now;
  const from = line(turn, "notice", { name: nameOf(turn, kept.by) });
  tellAll(
    turn,
    {
      text: `${from}\n${kept.title}\n${kept.text}\n${line(turn, "notice-seen")}`,
      buttons: [{ tap: `seen:${kept.id}`, label: line(turn, "seen") }],
    },
    { safety: true },
  );
  turn.because.push(`notice ${kept.id} told`);
}

function see(turn: Turn, person: Person, unseen: HireNotice[]): boolean {
  if (unseen.length === 0) return false;
  for (const kept of unseen) kept.seen[person.id] = turn.now;
  tell(turn, person, { text: line(turn, "seen-thanks") });
  turn.because.push(`seen: notice ${unseen.map((n) => n.id).join(", ")}`);
  return true;
}
const unseenBy = (turn: Turn, person: Person): HireNotice[] =>
  noticesOf(turn).filter((n) => n.toldAt !== undefined && n.seen[person.id] === undefined);

/** The button below a notice; a second tap changes nothing. */
export function seenTapped(turn: Turn, person: Person, id: string): void {
  const tapped = unseenBy(turn, person).filter((n) => n.id === id);
  if (!see(turn, person, tapped)) turn.because.push("ignored: double or stale tap");
}

/** "seen" in words, for channels without buttons: it means every notice that this person was told. */
export const seenSaid = (turn: Turn, person: Person, words: string): boolean =>
  /^\W*(?:i've |i have |we have |we've )?seen(?: (?:it|this|that|the notice))?\W*$/i.test(words) &&
  see(turn, person, unseenBy(turn, person));
