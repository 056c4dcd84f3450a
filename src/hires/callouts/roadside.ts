/** Roadside assistance on a call-out: what it told, the chase when it does not come, the card to read out. Pure. */

import { after, type Instant } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { type CardLine, cardText, roadsideCard } from "../../callouts/card.js";
import { take } from "../../callouts/steps.js";
import { isOf } from "../../callouts/whose.js";
import type { Book } from "../../knowledge/book.js";
import { roadsideOf } from "../../knowledge/firm/roadside.js";
import type { DeskAct } from "../../post.js";
import { callOrder } from "../../triage/order.js";
import { staffButtons } from "../../wording/staff-taps.js";
import { lastPlace, whereItStands } from "../heard/last.js";
import type { Hire, Person } from "../hire.js";
import {
  clock,
  line,
  nameOf,
  openCallout,
  overtake,
  put,
  setDue,
  staffClock,
  type Turn,
  talkOf,
  tell,
  tellContact,
  vanOf,
} from "../turn.js";
import { owns } from "./holding.js";
import { sign } from "./owner.js";
import { hearAnew } from "./silence.js";
import { isBack, status } from "./told.js";

/** It is chased so long after its promised arrival, and again after as long. */
const chaseMin = 15;

const due = (turn: Turn, n: number, at: number | null) =>
  setDue(
    turn,
    `callout:${n}:roadside`,
    at === null ? null : after(turn.now, (at - turn.now) / 60_000),
    { kind: "roadside", callout: n },
    0,
  );
/** Sets the chase of a job that is awaited. A time that is past was chased, or is now in somebody's hands. */
export function awaitRoadside(turn: Turn, n: number): void {
  const job = openCallout(turn, n)?.roadside;
  if (!job || job.came) return;
  const at = after(job.arrivesAt ?? turn.now, chaseMin);
  due(turn, n, at > turn.now ? at : after(turn.now, chaseMin));
}

type Told = Extract<DeskAct, { do: "roadside" }>;
type Job = NonNullable<Callout["roadside"]>;

/** What the hirers read of it. Nothing is said to be on its way before there is a reference, and no time that is past. */
function tellsHirers(turn: Turn, by: string, job: Job, before: Job): string {
  const { reference, arrivesAt } = job;
  const words = { name: nameOf(turn, by), reference: reference ?? "" };
  if (!reference) return line(turn, "roadside-asked", words);
  if (arrivesAt === undefined) return line(turn, "roadside-called", words);
  if (arrivesAt <= turn.now) return line(turn, "roadside-no-new-time", words);
  const again = before.arrivesAt !== undefined && before.reference === reference;
  const time = clock(turn, arrivesAt);
  return line(turn, again ? "roadside-now" : "roadside-comes", { ...words, time });
}

/** Staff write down that roadside assistance was asked, what it told, or that it came. */
export function roadside(turn: Turn, by: string, act: Told): void {
  const n = act.callout;
  const known = openCallout(turn, n);
  if (!known) return;
  const { callout: c, became } = take(known, by);
  const before: Job = c.roadside ?? { by, askedAt: turn.now, chased: 0 };
  const reference = act.reference?.trim() || before.reference;
  const another = before.reference !== undefined && reference !== before.reference;
  const { arrivesAt: told, ...asked } = before;
  // One that is asked after the first one was there has told no time yet.
  const arrivesAt = act.arrivesAt ?? (before.came && another ? undefined : told);
  const anew = act.arrivesAt !== undefined || another;
  // What is there does not leave again because its form is kept once more.
  const came = act.came === true || (before.came === true && !anew);
  const job: Job = {
    ...asked,
    ...(came ? { came } : { by, chased: anew ? 0 : before.chased, came }),
    ...(reference ? { reference } : {}),
    ...(arrivesAt === undefined ? {} : { arrivesAt }),
  };
  put(turn, { ...c, roadside: job });
  if (became === "taken") owns(turn, known, by);
  if (came) due(turn, n, null);
  else awaitRoadside(turn, n);
  hearAnew(turn, n);
  sign(turn, n, by);
  turn.because.push(`roadside assistance: by ${by}${came ? ", it came" : ""}`);
  if (came) return;
  if (known.with && known.with !== by)
    tellContact(
      turn,
      known.with,
      {
        text: `${nameOf(turn, by)} has called roadside assistance for "${c.title}"${reference ? `, reference ${reference}` : ""}. It is still with you.`,
      },
      { callout: n, severity: c.severity },
    );
  status(turn, n, tellsHirers(turn, by, job, before));
}

/** The due: it should have come by now, or have told when it comes. The owner and the duty person chase it. */
export function roadsideDue(turn: Turn, n: number): void {
  const c = openCallout(turn, n);
  const job = c?.roadside;
  if (!c || !job || job.came || isBack(turn.hire, c)) {
    turn.because.push("ignored: roadside assistance is not awaited");
    return;
  }
  const { firm } = turn.facts.book;
  const number = roadsideOf(firm)?.phone ?? "";
  const reference = job.reference ? `reference ${job.reference}` : "no reference yet";
  const { registration } = vanOf(turn, c);
  const late =
    job.arrivesAt === undefined
      ? `Roadside assistance has told no arrival time for ${registration} (${reference}).`
      : `Roadside assistance should have reached ${registration} by ${staffClock(turn, job.arrivesAt)} (${reference}).`;
  const b = staffButtons(turn.hire.id, n);
  const message = {
    text: `${late} Ring them and ask for a time: ${number}`,
    buttons: [b.came, b.card],
  };
  const how = { callout: n, severity: c.severity, safety: true } as const;
  const [duty] = callOrder(firm, c.severity, turn.now);
  const to = new Set([c.with, duty].filter((id) => id !== undefined));
  const reached = [...to].filter((id) => tellContact(turn, id, message, how));
  put(turn, { ...c, roadside: { ...job, chased: job.chased + 1 } });
  due(turn, n, after(turn.now, chaseMin));
  turn.because.push(`chased roadside assistance: told ${reached.join(", ") || "nobody"}`);
  if (job.arrivesAt === undefined || job.chased >= 2) return;
  const [asked] = reached;
  const text = [
    line(turn, "roadside-late", { time: clock(turn, job.arrivesAt) }),
    asked
      ? line(turn, "roadside-chased", { name: nameOf(turn, asked) })
      : line(turn, "alerted-none"),
  ].join(" ");
  status(turn, n, text, [
    { tap: `rs:yes:${n}`, label: line(turn, "roadside-here") },
    { tap: `rs:no:${n}`, label: line(turn, "roadside-not-here") },
  ]);
  for (const person of turn.hire.people.filter((p) => isOf(turn.hire.callouts, c, p.id))) {
    const talk = talkOf(turn, person.id);
    overtake(talk, turn.now);
    delete talk.wellAsked;
    talk.roadsideAsked = n;
  }
}

/** The hirer tells whether it has come; staff hear it. Only staff end the matter. */
export function roadsideSeen(turn: Turn, person: Person, n: number, came: boolean): void {
  const c = openCallout(turn, n);
  if (!c?.roadside || c.roadside.came) {
    turn.because.push("ignored: double or stale tap");
    return;
  }
  if (came) {
    put(turn, { ...c, roadside: { ...c.roadside, came: true } });
    due(turn, n, null);
  }
  const text = `${vanOf(turn, c).registration}, ${person.name}: roadside assistance ${came ? "has come" : "has NOT come yet"}.`;
  if (c.with) tellContact(turn, c.with, { text }, { callout: n, severity: c.severity });
  tell(turn, person, { text: line(turn, "noted") }, { callout: n });
}

/** The card, to the contact who asked for it. */
export function showCard(turn: Turn, by: string, c: Callout): void {
  tellContact(
    turn,
    by,
    { text: cardText(cardOf(turn.facts.book, turn.hire, c, turn.now)) },
    { callout: c.n, severity: c.severity },
  );
}

/** What is known for roadside assistance, line by line. */
export function cardOf(book: Book, hire: Hire, callout: Callout, now: Instant): CardLine[] {
  const { registration, type } = callout.van ?? hire.booking.van;
  const place = lastPlace(whereItStands(hire, callout), now, book.firm.zone);
  return roadsideCard({
    callout,
    van: book.vans.get(type),
    registration,
    firm: book.firm,
    people: hire.people,
    ...(hire.aboard ? { aboard: hire.aboard } : {}),
    ...(place ? { place } : {}),
  });
}
