/** What a turn adds to the trip log: what came in, how call-outs changed, what goes out. */
import type { Instant } from "../calendar.js";
import type { Callout } from "../callouts/callout.js";
import type { Hire, LaneState, Step } from "../hires/hire.js";
import type { Arrival, DeskAct, FirmAct, Reason, Send, Sender } from "../post.js";
import { wasRefused } from "../roster/duty/refusal.js";
import type { FirmState } from "../roster/duty/state.js";
import type { Waiting } from "./arrivals.js";
import { changeLines } from "./care/change-text.js";
import { vanText } from "./care/van-text.js";
import { changesTheHire, type EventMore, findButton, type NewEvent } from "./events.js";
import { firmChanges } from "./firm/log.js";
import type { Loaded } from "./hires.js";
import type { Db } from "./tables.js";

/** What a turn hands over to be made durable. */
export type Turned = {
  waiting: Waiting;
  before: Loaded;
  step: Step;
  /** The step threw: the arrival is marked for a person to look at. */
  failed?: boolean;
  now: Instant;
  /** Channels for which the stored conversation is the delivery. */
  atOnce: ReadonlySet<string>;
  /** A contact's name, for the trip log. */
  nameOf(contact: string): string;
};

const hireOf = (state: LaneState | undefined): Hire | undefined =>
  state?.kind === "hire" ? state.hire : undefined;

function fromSender(
  arrival: Arrival,
  from: Sender,
  hire: Hire | undefined,
  text: string,
  more: EventMore,
): NewEvent {
  const person = hire?.people.find((p) => p.id === from.person);
  return {
    kind: "in",
    person: from.person ?? null,
    channel: from.via.channel,
    who: hire ? `hirer:${person?.name ?? from.name ?? "somebody"}` : "unknown",
    text,
    more: {
      arrival: arrival.key,
      ...(arrival.writtenAt === undefined ? {} : { writtenAt: arrival.writtenAt }),
      ...more,
    },
  };
}

function actText(act: DeskAct, nameOf: (contact: string) => string): string {
  switch (act.do) {
    case "take":
      return `takes call-out ${act.callout}`;
    case "pass":
      return `passes call-out ${act.callout} to ${nameOf(act.to)}`;
    case "promise":
      return `promises a call for call-out ${act.callout}`;
    case "done":
      return `call-out ${act.callout} done: ${act.outcome}${act.to ? ` to call-out ${act.to}` : ""}${act.note ? ` (${act.note})` : ""}`;
    case "phone":
      return `is on the phone about call-out ${act.callout}`;
    case "heard":
      return `has spoken with them about call-out ${act.callout}`;
    case "keep":
      return `keeps call-out ${act.callout}`;
    case "roadside":
      return act.came
        ? "roadside assistance is there"
        : `roadside assistance: ${act.reference ? `reference ${act.reference}` : "no reference yet"}`;
    case "aboard":
      return `aboard: ${Object.entries(act.aboard)
        .map(([what, is]) => `${what} ${is}`)
        .join(", ")}`;
    case "show":
      return `looks at the ${act.what}`;
    case "read":
      return `has heard of call-out ${act.callout}`;
    case "note":
      return act.note;
    case "reply":
      return act.text;
    case "notice":
      return `sends the notice "${act.notice.title}"`;
    case "notice-end":
      return "ends a notice that was not told here yet";
    case "pickup-record":
      return "writes the pick-up record";
    case "return-record":
      return act.handover?.keyBox
        ? `writes the return record (key box; checked in by ${nameOf(act.handover.by)})`
        : "writes the return record";
    case "call":
      return `writes down a telephone call of ${act.who}: ${act.about} (${act.outcome})`;
    case "not-back":
      return "takes the return record out: the van is still with its hirers";
    case "ask-photos":
      return "asks for photos of the van at the key box";
    case "new-link":
      return "makes a new link; the one before ends on every device and in every chat";
    case "seen":
      return "looks after what they wrote in danger";
    default:
      return act satisfies never;
  }
}

function firmText(
  act: FirmAct,
  because: readonly Reason[],
  nameOf: (contact: string) => string,
): string {
  switch (act.do) {
    case "roster":
    case "contact":
      return wasRefused(because)
        ? `not saved, since it was made on an older version: ${act.says}`
        : act.says;
    case "here":
      return "answers the test alert";
    case "stand-in":
      return "stands in";
    case "off":
      return `wants to go off duty${act.to ? `, ${nameOf(act.to)} instead` : ""}`;
    case "stay":
      return "stays on duty";
    default:
      return act satisfies never;
  }
}

/** A place that was shared. Where a live place moves on, the hire keeps the last one; the log would be full of it. */
function located(
  arrival: Arrival,
  body: Extract<Arrival["body"], { kind: "located" }>,
  hire: Hire | undefined,
): NewEvent[] {
  if (body.live === "moved") return [];
  const { lat, lon, accuracyM, name } = body;
  const more = { lat, lon, ...(accuracyM === undefined ? {} : { accuracyM }) };
  return [fromSender(arrival, body.from, hire, name ?? "", more)];
}

/** The event of the arrival itself; none for dues, whose effects speak for themselves. */
async function cameIn(tx: Db, { waiting, before, step, nameOf }: Turned): Promise<NewEvent[]> {
  const { arrival } = waiting;
  const { body } = arrival;
  const hire = hireOf(step.state) ?? hireOf(before.state);
  const change = (who: string, text: string, more: EventMore = {}): NewEvent => ({
    kind: "change",
    person: null,
    channel: null,
    who,
    text,
    more: { arrival: arrival.key, ...more },
  });
  const edited = "edited" in body && body.edited ? { edited: true } : {};
  switch (body.kind) {
    case "said":
      return [fromSender(arrival, body.from, hire, body.text, edited)];
    case "tapped": {
      const button = await findButton(tx, arrival.lane, (b) => b.tap === body.tap);
      return [
        fromSender(arrival, body.from, hire, button?.label ?? body.typed ?? body.tap, {
          tap: body.tap,
        }),
      ];
    }
    case "photo":
      return [
        fromSender(arrival, body.from, hire, body.caption ?? "", { file: body.file, ...edited }),
      ];
    case "located":
      return located(arrival, body, hire);
    case "unreadable":
      return [
        fromSender(arrival, body.from, hire, body.what, {
          ...(body.file ? { file: body.file } : {}),
          ...edited,
        }),
      ];
    case "joined":
      return [
        {
          ...fromSender(arrival, body.from, hire, `joined by ${body.from.via.channel}`, {}),
          kind: "change",
        },
      ];
    case "booked":
      return [
        change(
          "desk",
          hireOf(before.state)
            ? body.booking.status === "cancelled"
              ? "hire cancelled"
              : "hire changed"
            : "hire booked",
        ),
      ];
    case "changed": {
      const was = hireOf(before.state)?.booking;
      const lines = was && hire ? changeLines(was, hire.booking) : [];
      if (lines.length === 0) return [];
      return [change(nameOf(body.by), `${changesTheHire}${lines.join("; ")}`)];
    }
    case "desk":
      return [
        {
          kind: "staff",
          person: null,
          channel: "desk",
          who: `duty:${nameOf(body.by)}`,
          text: actText(body.act, nameOf),
          more: { arrival: arrival.key, act: body.act, contact: body.by },
        },
      ];
    case "undelivered":
      return [
        change("house", `not delivered by ${body.to.channel}`, {
          sends: [body.send],
          ...(body.callout === undefined ? {} : { callout: body.callout }),
        }),
      ];
    case "firm":
      return [
        {
          kind: "staff",
          person: null,
          channel: "desk",
          who: `duty:${nameOf(body.by)}`,
          text: firmText(body.act, step.because, nameOf),
          more: { arrival: arrival.key, contact: body.by, because: step.because },
        },
      ];
    case "forget": {
      const text = step.because.join("; ");
      return [
        body.by === "keeping"
          ? change("house", text)
          : { ...change(`duty:${nameOf(body.by)}`, text), kind: "staff" },
      ];
    }
    case "due":
    case "opened":
      return [];
    case "van":
      return [
        {
          ...change(body.act.do === "reported" ? "hirer" : nameOf(body.by), vanText(body.act)),
          kind: "staff",
        },
      ];
    default:
      return body satisfies never;
  }
}

/** What of a call-out people would call a change. */
const shown = (c: Callout) =>
  JSON.stringify([c.state, c.with, c.severity, c.promisedAt, c.offeredTo, c.waitsUntil, c.outcome]);

function calloutChanges({ before, step, nameOf }: Turned): NewEvent[] {
  const old = hireOf(before.state)?.callouts ?? [];
  const events: NewEvent[] = [];
  for (const callout of hireOf(step.state)?.callouts ?? []) {
    const was = old.find((c) => c.n === callout.n);
    if (was && shown(was) === shown(callout)) continue;
    const holder =
      callout.state === "with" && callout.with
        ? `with ${nameOf(callout.with)}`
        : callout.state === "done"
          ? "done"
          : "nobody yet";
    events.push({
      kind: "change",
      person: null,
      channel: null,
      who: "house",
      text: `${callout.title}: ${holder}, ${callout.severity}`,
      more: {
        callout: callout.n,
        title: callout.title,
        state: callout.state,
        ...(callout.with ? { with: callout.with } : {}),
        severity: callout.severity,
        because: step.because,
      },
    });
  }
  return events;
}

/** One event a message and reader, whatever number of channels carries it. */
function wentOut({ waiting, step }: Turned): NewEvent[] {
  const events = new Map<string, NewEvent>();
  for (const [i, send] of step.sends.entries()) {
    const key = `${waiting.arrival.key}#${i + 1}`;
    const id = JSON.stringify([send.person, send.contact, send.who, send.callout, send.message]);
    const known = events.get(id);
    if (known) known.more.sends?.push(key);
    else events.set(id, outEvent(send, key));
  }
  return [...events.values()];
}

function outEvent(send: Send, key: string): NewEvent {
  const { message } = send;
  return {
    kind: "out",
    // What goes to staff is never shown to a hirer, whatever else the send says.
    person: send.contact === undefined ? (send.person ?? null) : null,
    channel: send.to.channel,
    who: send.who,
    text: message.text,
    more: {
      sends: [key],
      ...(message.buttons?.length ? { buttons: message.buttons } : {}),
      ...(message.pictures?.length ? { pictures: message.pictures } : {}),
      ...(message.askPlace === undefined ? {} : { askPlace: message.askPlace }),
      ...(send.callout === undefined ? {} : { callout: send.callout }),
      ...(send.severity === undefined ? {} : { severity: send.severity }),
      ...(send.contact === undefined ? {} : { contact: send.contact }),
    },
  };
}

const firmIn = (state: LaneState | undefined): FirmState | undefined =>
  state?.kind === "firm" ? state.firm : undefined;
function dutyChanges({ before, step, nameOf }: Turned): NewEvent[] {
  const after = firmIn(step.state);
  return after ? firmChanges(firmIn(before.state), after, nameOf) : [];
}

/** All events of a turn in the order in which people would tell them. */
export async function tripLog(tx: Db, turned: Turned): Promise<NewEvent[]> {
  return [
    ...(await cameIn(tx, turned)),
    ...calloutChanges(turned),
    ...dutyChanges(turned),
    ...wentOut(turned),
  ];
}
