/** A house on a script clock with a tiny step of its own, for tests of store, rounds and doors. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, type Instant, instantOf } from "../../src/calendar.js";
import type { Door, Outcome } from "../../src/channels/door.js";
import type { Hire } from "../../src/hires/hire.js";
import type { Book } from "../../src/knowledge/book.js";
import { quietLog } from "../../src/log.js";
import type { Matcher } from "../../src/matching/matcher.js";
import type { Address, Arrival, Booking, HireId, LaneId, Send } from "../../src/post.js";
import type { StepFunction } from "../../src/rounds/turns.js";
import { bookingOf } from "./booking.js";

export const noon = instantOf(Date.UTC(2026, 5, 3, 12));

/** A clock that only the test moves. */
export function scriptClock(at: Instant = noon) {
  let now = at;
  return {
    now: () => now,
    move(minutes: number) {
      now = after(now, minutes);
    },
    moveTo(to: Instant) {
      now = to;
    },
  };
}

/** A folder that is gone after the test; `file` is a fresh database path in it. */
export function tempFile(): { file: string; remove(): void } {
  const folder = mkdtempSync(join(tmpdir(), "passing-place-test-"));
  return {
    file: join(folder, "test.sqlite"),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}

/** Just enough of a book for the house itself: names of contacts. The real step is not run on it. */
export const smallBook = {
  hash: "test",
  vans: new Map(),
  firm: { contacts: { morag: { name: "Morag" }, callum: { name: "Callum" } } },
} as unknown as Book;
export const smallMatcher = { book: smallBook } as unknown as Matcher;

export const booking = (hire = "h1", more: Partial<Booking> = {}): Booking =>
  bookingOf({
    hire: hire as HireId,
    pickupAt: after(noon, -60),
    returnAt: after(noon, 3 * 24 * 60),
    surname: "Example",
    ...more,
  });

export const lane = (hire = "h1") => `hire:${hire}` as LaneId;
const telegram = (to: string): Address => ({ channel: "telegram", to });

export function said(text: string, n: number | string, hire = "h1", at: Instant = noon): Arrival {
  return {
    key: `test:${hire}:${n}`,
    lane: lane(hire),
    receivedAt: at,
    body: { kind: "said", from: { person: "p1", name: "Ann", via: telegram("100") }, text },
  };
}

const hireFrom = (b: Booking): Hire =>
  ({
    id: b.hire,
    booking: b,
    talks: {},
    callouts: [],
    readings: [],
    sentReminders: [],
    planned: 0,
    people: b.people.map((p) => ({ ...p, reached: [telegram("100")], greeted: true })),
  }) as Hire;

const send = (text: string, more: Partial<Send> = {}): Send => ({
  to: telegram("100"),
  who: "hirer:Ann",
  person: "p1",
  message: { text },
  safety: false,
  ...more,
});

/**
 * Understands a few words, so that a test can say what shall happen:
 * "say X" an ordinary answer · "danger" a safety answer, a call-out, an alert and a due in 2 minutes ·
 * "later N" a due in N minutes · "throw" a step that fails. `joined`, `undelivered` and dues are answered too.
 */
export const smallStep: StepFunction = (state, arrival, facts) => {
  const { body } = arrival;
  if (body.kind === "booked")
    return {
      state: { kind: "hire", hire: hireFrom(body.booking) },
      sends: [],
      dues: [],
      because: ["booked"],
    };
  if (state?.kind !== "hire") return { state, sends: [], dues: [], because: ["ignored: no hire"] };
  const hire = structuredClone(state.hire);
  const out = (sends: Send[], dues: ReturnType<StepFunction>["dues"], why: string) => ({
    state: { kind: "hire" as const, hire },
    sends,
    dues,
    because: [why],
  });
  if (body.kind === "joined") {
    const person = hire.people.find((p) => p.id === body.from.person);
    if (person) person.reached = [body.from.via];
    return out([send("welcome", { to: body.from.via })], [], "joined");
  }
  if (body.kind === "due") return out([send(`due ${body.due}`)], [], "due");
  if (body.kind === "undelivered" && body.to.channel === "hook") return out([], [], "nobody left");
  if (body.kind === "undelivered")
    return out(
      [
        send("alert", {
          to: { channel: "hook", to: "callum" },
          who: "hook",
          contact: "callum",
          safety: true,
        }),
      ],
      [],
      "next contact",
    );
  if (body.kind !== "said") return out([], [], `ignored: ${body.kind}`);
  if (body.text.startsWith("say ")) return out([send(body.text.slice(4))], [], "said");
  if (body.text === "throw") throw new Error(`broken by ${body.text}`);
  if (body.text.startsWith("later "))
    return out(
      [],
      [
        {
          key: "later",
          at: after(facts.now, Number(body.text.slice(6))),
          generation: 0,
          matter: { kind: "reminder", keys: ["later"] },
        },
      ],
      "due set",
    );
  if (body.text === "danger") {
    const n = hire.callouts.length + 1;
    hire.callouts.push({
      n,
      kind: "danger",
      matter: `fire-${n}`,
      title: "Fire",
      severity: "danger",
      state: "nobody-yet",
      openedAt: facts.now,
      person: "p1",
      answerBy: after(facts.now, 2),
      alerted: ["morag"],
      round: 1,
      generation: 1,
    });
    return out(
      [
        send("Get out. 999.", { safety: true, severity: "danger", callout: n }),
        send("DANGER", {
          to: telegram("900"),
          who: "duty:Morag",
          contact: "morag",
          safety: true,
          callout: n,
          severity: "danger",
        }),
      ],
      [
        {
          key: `callout:${n}:next`,
          at: after(facts.now, 2),
          generation: 1,
          matter: { kind: "next-contact", callout: n },
        },
      ],
      "danger",
    );
  }
  return out([], [], "ignored: unknown words");
};

/** A channel whose outcomes the test scripts: each try takes the next one, then all are sent. */
export function scriptDoor(channel: Door["channel"] = "telegram") {
  const tried: { key: string; to: string; text: string; went?: string | undefined }[] = [];
  const outcomes: (Outcome | ((send: Send) => Outcome))[] = [];
  const door: Door = {
    channel,
    send(one, key, _lane, went) {
      tried.push({ key, to: one.to.to, text: one.message.text, went });
      const next = outcomes.shift() ?? { kind: "sent" as const, outsideId: String(tried.length) };
      return Promise.resolve(typeof next === "function" ? next(one) : next);
    },
  };
  return { door, tried, outcomes, texts: () => tried.map((t) => t.text) };
}

export const houseParts = {
  book: smallBook,
  matcher: smallMatcher,
  log: quietLog,
  random: () => 0.5,
  step: smallStep,
};
