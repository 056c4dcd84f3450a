/** A safety message that did not get through to a hirer: it goes the other way that there is, and staff read whom to ring. Pure. */
import { minuteMs } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { isSecret } from "../../callouts/whose.js";
import type { Address, LostToHirer } from "../../post.js";
import { callOrder } from "../../triage/order.js";
import type { Person } from "../hire.js";
import {
  byText,
  numberOf,
  openCallout,
  quote,
  readsNow,
  sameWay,
  type Turn,
  tellByText,
  tellContact,
} from "../turn.js";

/** Staff hear once in so long that a person is not reached there. */
const heardMs = 60 * minuteMs;

const channelNames: Partial<Record<Address["channel"], string>> = {
  telegram: "Telegram",
  gateway: "text message",
};

/** Whoever has the matter, else whoever is on duty, is to ring them; who was told. `texted`: it went out by text. */
function tellStaff(
  turn: Turn,
  { name, phone }: Person,
  lost: { by: Address["channel"]; words: string; texted: boolean },
  callout: Callout | undefined,
): string | undefined {
  const { firm } = turn.facts.book;
  const { registration } = turn.hire.booking.van;
  const texted = lost.texted ? "It went out as a text message to their number instead. " : "";
  // Who else hears the telephone of somebody who told of a threat nobody knows.
  const ring = callout && isSecret(callout) ? "Their number" : "Ring them";
  const text = `${name} (${registration}) was not reached by ${channelNames[lost.by] ?? lost.by}: "${quote(lost.words)}"\n${texted}${ring}: ${phone ?? "no number is known"}.`;
  const how = {
    ...{ safety: true, ring: true },
    ...(callout ? { callout: callout.n, severity: callout.severity } : {}),
  };
  const order = callOrder(firm, "person", turn.now);
  const asked = callout?.with ? [callout.with, ...order] : order;
  return asked.find((id) => tellContact(turn, id, { text }, how));
}

/**
 * While it is still tried it goes by text as well, where nothing else reaches them. Once it is given up, the way by
 * which it went counts for nothing until something comes from there.
 */
export function lostToHirer(
  turn: Turn,
  way: Address,
  { person: id, message, madeAt, waits, onlyStaff }: LostToHirer,
  n: number | undefined,
): void {
  turn.because.push(`not delivered on ${way.channel}`);
  const person = turn.hire.people.find((p) => p.id === id);
  const isTheirs = person?.reached.some((a) => sameWay(a, way));
  if (!person || !(isTheirs || numberOf(turn, person) === way.to)) return;
  const known = person.lost?.find((l) => sameWay(l.way, way));
  const lost = known ?? { way, since: turn.now };
  if (!waits && !known) person.lost = [...(person.lost ?? []), lost];
  if (readsNow(turn, person, way)) return;
  const to = byText(turn, person, n, way);
  const severity = turn.hire.callouts.find((c) => c.n === n)?.severity;
  const how = {
    safety: true,
    ...(n === undefined ? {} : { callout: n }),
    ...(severity ? { severity } : {}),
  };
  // What was made since the way was lost went by text at once.
  const wentByText = onlyStaff || (known !== undefined && madeAt >= known.since);
  if (to.length > 0 && !wentByText) tellByText(turn, person, to, message, how);
  const isHeard = lost.heardAt !== undefined && turn.now - lost.heardAt < heardMs;
  if (waits || isHeard) return;
  lost.heardAt = turn.now;
  const what = { by: way.channel, words: message.text, texted: to.length > 0 && !onlyStaff };
  const told = tellStaff(turn, person, what, openCallout(turn, n));
  turn.because.push(`told ${told ?? "nobody"} that ${way.channel} does not reach a hirer`);
}
