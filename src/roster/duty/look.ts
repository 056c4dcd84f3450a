/** Looks at the roster: who has come on duty gets a test alert, who has gone off hands over. Pure. */
import { after, instantOf } from "../../calendar.js";
import { nextChange, whoIsOn } from "../on-duty.js";
import { shiftsIn } from "../shifts.js";
import type { ShiftTest } from "./state.js";
import { closeTest, openTest } from "./tests.js";
import { nameOf, setDue, tell, type Watch } from "./watch.js";

/**
 * Has every call-out that somebody has offered to the next person, each in its hire's own lane. `to`: whom
 * to ask while its owner is still on duty.
 */
export function offerMatters(w: Watch, from: string, to?: string): number {
  const theirs = w.facts.open.filter((m) => m.with === from);
  for (const { lane, n } of theirs) {
    const matter = { kind: "hand-over", callout: n, from, ...(to ? { to } : {}) } as const;
    const due = `callout:${n}:hand`;
    w.posts.push({
      key: `${w.arrival}:${lane}:${due}`,
      lane,
      receivedAt: w.now,
      body: { kind: "due", due, generation: 0, matter },
    });
  }
  if (theirs.length > 0) w.because.push(`${theirs.length} of ${from} to be handed over`);
  return theirs.length;
}

/** A call-out may be taken in its own lane in the very instant of a change: it is offered a minute later. */
const againMin = 1;

/** Whoever went off offers once more what they have; what was offered already stays as it is. */
function offerOnceMore(w: Watch): void {
  const { gone, on } = w.state;
  if (!gone || w.now < after(gone.at, againMin)) return;
  delete w.state.gone;
  for (const contact of gone.contacts) if (!on.includes(contact)) offerMatters(w, contact);
}

/** Who was told that somebody does not answer hears that it is over; not who comes on, or has settled it: they know. */
function settled(w: Watch, test: ShiftTest, on: readonly string[], by?: string): void {
  const names = on.map((id) => nameOf(w, id)).join(" and ");
  const text = `${nameOf(w, test.contact)} is off duty now, and alerts come to ${names}: the test alert needs nothing more.`;
  for (const id of test.told) if (id !== by && !on.includes(id)) tell(w, id, text);
}

/**
 * What has changed on the roster since the last look, in one go however long ago that was. `here`: has
 * just shown that they are there, and needs no test.
 */
export function look(w: Watch, here?: string): void {
  const { state, now } = w;
  const { contacts, gap } = whoIsOn(w.firm, now);
  const running = shiftsIn(w.firm, now, after(now, 1)).filter((s) => s.from <= now);
  const before = state.on;
  const since = state.lookedAt;
  const coming = contacts.filter(
    (id) => !before.includes(id) || running.some((s) => s.contact === id && s.from > since),
  );
  const going = before.filter((id) => !contacts.includes(id));
  state.on = contacts;
  state.lookedAt = now;
  const { leaving } = state;
  if (leaving && !contacts.includes(leaving.contact)) delete state.leaving;
  // A question to take over is open as long as whoever asked it is on, a shift's test as long as its person is.
  for (const test of state.tests) {
    const isOver =
      test.why === "asked" ? test.n !== state.leaving?.test : going.includes(test.contact);
    if (test.state !== "open" || !isOver) continue;
    closeTest(w, test, "over");
    if (test.why !== "asked") settled(w, test, contacts, here);
  }
  for (const contact of coming) {
    if (contact === here) continue;
    const shift = running.find((s) => s.contact === contact);
    openTest(w, {
      contact,
      why: gap ? "gap" : "shift",
      startedAt: shift?.from ?? now,
      until: shift?.to ?? nextChange(w.firm, now),
      before: before.filter((id) => id !== contact),
    });
  }
  offerOnceMore(w);
  for (const contact of going) offerMatters(w, contact);
  if (going.length > 0)
    state.gone = { contacts: [...(state.gone?.contacts ?? []), ...going], at: now };
  const next = nextChange(w.firm, now);
  const soon = state.gone ? after(state.gone.at, againMin) : next;
  setDue(w, "duty:look", instantOf(Math.min(soon, next)), { kind: "shift" });
  w.because.push(`on duty: ${contacts.join(", ")}${gap ? " (a gap of the roster)" : ""}`);
}
