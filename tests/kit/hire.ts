/** Given a hire, when things arrive, then what the step does: a small player for decider tests. No store, no doors. */
import { after, type Instant, readIso } from "../../src/calendar.js";
import type { Callout } from "../../src/callouts/callout.js";
import type { Hire, LaneState, Step } from "../../src/hires/hire.js";
import { newHire } from "../../src/hires/people.js";
import { step } from "../../src/hires/step.js";
import type { Book } from "../../src/knowledge/book.js";
import { readBook } from "../../src/knowledge/read.js";
import { openMatcher } from "../../src/matcher-cache.js";
import type { ArrivalBody, DeskAct, LaneId, Reading, Send } from "../../src/post.js";
import type { StaffReach } from "../../src/roster/reach.js";
import { bookingOf, peopleOf } from "./booking.js";

export const book = readBook().book;
export const matcher = openMatcher(book);
const lane = "hire:h1" as LaneId;

export type Play = {
  /** Sends of the latest step. */
  sends: Send[];
  last: Step;
  at: Instant;
  /** Minutes from the start. */
  pass(minutes: number): Play;
  says(text: string, more?: { person?: string; writtenAt?: Instant }): Play;
  /** By the label of a button of the latest step, or by the id of any. @throws where none has the label: one has a capital */
  taps(label: string, person?: string): Play;
  arrives(body: ArrivalBody, writtenAt?: Instant): Play;
  hire(): Hire;
  staff(by: string, act: DeskAct): Play;
  /** The same arrival's content once more. */
  again(): Play;
  /** The state as it comes back from the store. */
  restart(): Play;
  /** Who is signed in at the desk from here on. */
  desk(contacts: string[]): Play;
  /** Lets the earliest pending due come; false when there is none. */
  nextDue(): boolean;
  /** Lets dues come until it holds. @throws when it still does not after many, or when none is left */
  until(holds: () => boolean): Play;
  dues(): { key: string; at: Instant }[];
  callouts(): Callout[];
  hirer(): string[];
  duty(): { contact: string; text: string }[];
};

/** A hire of seven days with the given van, at a local time; staff are at the desk unless `atDesk` says otherwise, and nowhere else but by `reach`. */
export function hireWith(
  van: string,
  options: {
    at?: string;
    people?: string[];
    atDesk?: string[];
    region?: string;
    lang?: string;
    greeted?: boolean;
    readings?: Reading[];
    reach?: Partial<StaffReach>;
    /** What is known, where it is another book than the project's. */
    known?: Book;
    texts?: string;
  } = {},
): Play {
  const start = readIso(options.at ?? "2026-06-03T12:00+01:00");
  const booking = bookingOf({
    van: { registration: "SX26 ABC", type: van },
    pickupAt: after(start, -24 * 60),
    returnAt: after(start, 6 * 24 * 60),
    region: options.region ?? "gb",
    lang: options.lang ?? "en",
    people: peopleOf(options.people ?? ["Ann"], "07700 900500"),
    ...(options.readings ? { readings: options.readings } : {}),
  });
  const hire = newHire(booking);
  let state: LaneState | undefined = {
    kind: "hire",
    hire: { ...hire, people: hire.people.map((p) => ({ ...p, greeted: options.greeted ?? true })) },
  };
  const pending = new Map<string, { at: Instant; generation: number; body: ArrivalBody }>();
  let n = 0;
  let atDesk = options.atDesk ?? ["morag", "callum", "isla"];
  let latest: ArrivalBody | undefined;

  const play: Play = {
    sends: [],
    last: { state, sends: [], dues: [], because: [] },
    at: start,
    pass(minutes) {
      play.at = after(play.at, minutes);
      return play;
    },
    arrives(body, writtenAt) {
      return run(body, writtenAt);
    },
    hire() {
      if (state?.kind !== "hire") throw new Error("the lane holds no hire");
      return state.hire;
    },
    says(text, more = {}) {
      return run({ kind: "said", from: from(more.person), text }, more.writtenAt);
    },
    taps(label, person) {
      const button = play.sends
        .flatMap((s) => s.message.buttons ?? [])
        .find((b) => b.label === label || b.tap === label);
      if (!button && /^\p{Lu}/u.test(label)) throw new Error(`no button "${label}" was sent`);
      return run({ kind: "tapped", from: from(person), tap: button?.tap ?? label });
    },
    staff(by, act) {
      return run({ kind: "desk", by, act });
    },
    again() {
      return latest ? run(latest) : play;
    },
    restart() {
      state = state && (JSON.parse(JSON.stringify(state)) as LaneState);
      return play;
    },
    desk(contacts) {
      atDesk = contacts;
      return play;
    },
    nextDue() {
      const [first] = [...pending.entries()].sort((a, b) => a[1].at - b[1].at);
      if (!first) return false;
      pending.delete(first[0]);
      if (first[1].at > play.at) play.at = first[1].at;
      run(first[1].body);
      return true;
    },
    until(holds) {
      for (let i = 0; i < 500; i++) {
        if (holds()) return play;
        if (!play.nextDue()) break;
      }
      throw new Error(`never came: ${holds}`);
    },
    dues: () => [...pending.entries()].map(([key, d]) => ({ key, at: d.at })),
    callouts: () => (state?.kind === "hire" ? state.hire.callouts : []),
    hirer: () => play.sends.filter((s) => s.person !== undefined).map((s) => s.message.text),
    duty: () =>
      play.sends
        .filter((s) => s.contact !== undefined && s.to.channel !== "hook")
        .map((s) => ({ contact: s.contact ?? "", text: s.message.text })),
  };
  const from = (person = "p1") => ({ person, via: { channel: "web", to: person } as const });
  function run(body: ArrivalBody, writtenAt?: Instant): Play {
    const before = JSON.stringify(state);
    latest = body;
    const made = step(
      state,
      {
        key: `k${++n}`,
        lane,
        receivedAt: play.at,
        body,
        ...(writtenAt === undefined ? {} : { writtenAt }),
      },
      {
        now: play.at,
        book: options.known ?? book,
        matcher: options.known ? { ...matcher, book: options.known } : matcher,
        reach: { atDesk, telegram: {}, hook: false, ...options.reach },
        ...(options.texts === undefined ? {} : { texts: options.texts }),
      },
    );
    if (JSON.stringify(state) !== before)
      throw new Error("the step changed the state that it was given");
    state = made.state;
    for (const due of made.dues)
      if (due.at === null) pending.delete(due.key);
      else
        pending.set(due.key, {
          at: due.at,
          generation: due.generation,
          body: { kind: "due", due: due.key, generation: due.generation, matter: due.matter },
        });
    play.last = made;
    play.sends = made.sends;
    return play;
  }
  return play;
}

/** What a contact was told in the last step, one message after the other. */
export const toldTo = (play: Play, contact: string): string =>
  play
    .duty()
    .filter((d) => d.contact === contact)
    .map((d) => d.text)
    .join("\n");

/** What staff were told in the last step. */
export const toStaff = (play: Play): string[] => play.duty().map((d) => d.text);

/** By text message: a number that stands for a button. */
export const texts = (play: Play, typed: string, tap: string): Play =>
  play.arrives({
    kind: "tapped",
    from: { person: "p1", via: { channel: "gateway", to: "+447700900500" } },
    tap,
    typed,
  });
