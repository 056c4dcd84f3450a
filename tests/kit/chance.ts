/** Whatever may happen to a hire, by chance: words, taps, places, photos, staff, dues, restarts, repeats. */
import fc from "fast-check";
import { after } from "../../src/calendar.js";
import type { ArrivalBody, Booking, DeskAct } from "../../src/post.js";
import { peopleOf } from "./booking.js";
import type { Play } from "./hire.js";

export const staff = ["morag", "callum", "isla"];
const texts = [
  "red oil can light came on",
  "amber abs light",
  "tyre completely flat and amber abs light",
  "temperature light is red and steam is coming out",
  "the van is on fire",
  "my wife does not wake up",
  "how do I put the awning up",
  "thanks",
  "yes",
  "no",
  "still waiting!!",
  "hello??",
  "the tyre pressure light is on",
  "some warning light came on, no idea what it is",
  "I want to talk to a person",
  "flat tyre",
  "between the marks, 41,200",
  "2",
  "strong smell of gas in the van",
  "it smells odd in here, not sure if it's burning",
  "somebody is trying to get in and threatens us",
  "A9 northbound, marker post 34",
  "we have a baby with us and my phone is at 5%",
  "in a lay-by",
  "seen",
  "xyzzy",
];
type Who = { person: string };
type Staff = { by: string; n: number };
export type Move =
  | ({ kind: "says"; text: string; edited: boolean; lateMin: number } & Who)
  | ({ kind: "taps"; which: number } & Who)
  | ({ kind: "photo"; caption: string } & Who)
  | ({ kind: "voice" } & Who)
  | ({ kind: "place"; lat: number; lon: number; live: boolean } & Who)
  | { kind: "due" }
  | { kind: "again" }
  | { kind: "restart" }
  | { kind: "desk"; contacts: string[] }
  | { kind: "waits"; minutes: number }
  | ({ kind: "take" | "phone" | "heard" | "keep" | "note" | "read" | "show" | "reply" } & Staff)
  | ({ kind: "pass"; to: string } & Staff)
  | ({ kind: "promise"; minutes: number } & Staff)
  | ({ kind: "done"; joined: boolean; to: number } & Staff)
  | ({ kind: "roadside"; reference: boolean; minutes: number; came: boolean } & Staff)
  | ({ kind: "hand-over"; to: string | undefined } & Staff)
  | ({ kind: "undelivered" } & Staff)
  | { kind: "notice"; by: string }
  | { kind: "swap" }
  | { kind: "people"; both: boolean }
  | { kind: "cancel" }
  | { kind: "return"; by: string };

const person = fc.constantFrom("p1", "p2");
const by = fc.constantFrom(...staff);
const n = fc.integer({ min: 1, max: 4 });
const minutes = fc.integer({ min: 1, max: 120 });
const just = <K extends Move["kind"]>(kind: K) => fc.constant(kind);
const weigh = (weight: number, arbitrary: fc.Arbitrary<Move>) => ({ weight, arbitrary });

export const move: fc.Arbitrary<Move> = fc.oneof(
  weigh(
    8,
    fc.record({
      kind: just("says"),
      text: fc.constantFrom(...texts),
      person,
      edited: fc.constantFrom(false, false, false, true),
      lateMin: fc.constantFrom(0, 0, 0, 90),
    }),
  ),
  weigh(5, fc.record({ kind: just("taps"), which: fc.nat(40), person })),
  weigh(1, fc.record({ kind: just("photo"), caption: fc.constantFrom("", ...texts), person })),
  weigh(1, fc.record({ kind: just("voice"), person })),
  weigh(
    1,
    fc.record({
      kind: just("place"),
      lat: fc.double({ min: 50, max: 60, noNaN: true }),
      lon: fc.double({ min: -10, max: 2, noNaN: true }),
      live: fc.boolean(),
      person,
    }),
  ),
  weigh(8, fc.record({ kind: just("due") })),
  weigh(2, fc.record({ kind: just("again") })),
  weigh(1, fc.record({ kind: just("restart") })),
  weigh(1, fc.record({ kind: just("desk"), contacts: fc.subarray(staff) })),
  weigh(2, fc.record({ kind: just("waits"), minutes: fc.integer({ min: 1, max: 600 }) })),
  weigh(4, fc.record({ kind: just("take"), by, n })),
  weigh(
    4,
    fc.record({
      kind: fc.constantFrom("phone", "heard", "keep", "note", "read", "show", "reply"),
      by,
      n,
    }) as fc.Arbitrary<Move>,
  ),
  weigh(2, fc.record({ kind: just("pass"), by, n, to: by })),
  weigh(2, fc.record({ kind: just("promise"), by, n, minutes })),
  weigh(2, fc.record({ kind: just("done"), by, n, joined: fc.boolean(), to: n })),
  weigh(
    1,
    fc.record({
      kind: just("roadside"),
      by,
      n,
      minutes,
      reference: fc.boolean(),
      came: fc.boolean(),
    }),
  ),
  weigh(2, fc.record({ kind: just("hand-over"), by, n, to: fc.option(by, { nil: undefined }) })),
  weigh(1, fc.record({ kind: just("undelivered"), by, n })),
  weigh(1, fc.record({ kind: just("notice"), by })),
  weigh(1, fc.record({ kind: just("swap") })),
  weigh(1, fc.record({ kind: just("people"), both: fc.boolean() })),
  weigh(1, fc.record({ kind: just("cancel") })),
  weigh(1, fc.record({ kind: just("return"), by })),
);

/** Moves in a row; now and then nobody does anything for a while, and what is due comes. */
export const moves: fc.Arbitrary<Move[]> = fc
  .array(
    fc.oneof(
      { weight: 12, arbitrary: move.map((m) => [m]) },
      {
        weight: 1,
        arbitrary: fc
          .integer({ min: 4, max: 12 })
          .map((times) => Array.from({ length: times }, (): Move => ({ kind: "due" }))),
      },
    ),
    { minLength: 1, maxLength: 25 },
  )
  .map((rows) => rows.flat());

const from = (id: string) => ({ person: id, via: { channel: "web", to: id } as const });
const file = { id: "f", kind: "image/jpeg" };

/** What a member of staff does, where the move is one. */
function actOf(m: Move, play: Play): { by: string; act: DeskAct } | undefined {
  switch (m.kind) {
    case "take":
    case "phone":
    case "heard":
    case "keep":
    case "read":
      return { by: m.by, act: { do: m.kind, callout: m.n } };
    case "note":
      return { by: m.by, act: { do: "note", callout: m.n, note: "a note" } };
    case "show":
      return { by: m.by, act: { do: "show", callout: m.n, what: "outcomes" } };
    case "reply":
      return { by: m.by, act: { do: "reply", text: "On my way to the phone" } };
    case "pass":
      return { by: m.by, act: { do: "pass", callout: m.n, to: m.to } };
    case "promise":
      return { by: m.by, act: { do: "promise", callout: m.n, at: after(play.at, m.minutes) } };
    case "done": {
      const joined = m.joined ? { outcome: "joined", to: m.to } : { outcome: "other" };
      return { by: m.by, act: { do: "done", callout: m.n, ...joined } };
    }
    case "roadside": {
      const told = m.reference ? { reference: "R1", arrivesAt: after(play.at, m.minutes) } : {};
      const act = m.came ? { came: true } : told;
      return { by: m.by, act: { do: "roadside", callout: m.n, ...act } };
    }
    case "notice":
      return {
        by: m.by,
        act: { do: "notice", notice: { id: "n1", title: "Wind", text: "Storm" } },
      };
    case "return":
      return { by: m.by, act: { do: "return-record", reading: { at: play.at, by: m.by } } };
    default:
      return undefined;
  }
}

/** What arrives without staff doing anything; undefined for moves that are no arrival. `buttons`: all that were ever shown. */
function bodyOf(m: Move, play: Play, buttons: readonly string[]): ArrivalBody | undefined {
  switch (m.kind) {
    case "says":
      return { kind: "said", from: from(m.person), text: m.text, edited: m.edited };
    case "taps": {
      const tap = buttons.at(-1 - (m.which % Math.max(1, buttons.length))) ?? "c:oil-level:0";
      return { kind: "tapped", from: from(m.person), tap };
    }
    case "photo":
      return { kind: "photo", from: from(m.person), file, caption: m.caption };
    case "voice":
      return { kind: "unreadable", from: from(m.person), what: "voice message", file };
    case "place": {
      const { lat, lon } = m;
      const live = m.live ? { live: "moved" as const } : {};
      return { kind: "located", from: from(m.person), lat, lon, ...live };
    }
    case "hand-over": {
      const matter = { kind: "hand-over", callout: m.n, from: m.by } as const;
      return {
        kind: "due",
        due: `callout:${m.n}:hand`,
        generation: 0,
        matter: m.to ? { ...matter, to: m.to } : matter,
      };
    }
    case "undelivered":
      return { kind: "undelivered", send: "s", to: { channel: "desk", to: m.by }, callout: m.n };
    case "swap":
      return { kind: "booked", booking: swapped(play.hire().booking) };
    case "people": {
      // Only who booked stays on it; what the other has written meanwhile still comes.
      const people = peopleOf(m.both ? ["Ann", "Ben"] : ["Ann"]);
      return { kind: "booked", booking: { ...play.hire().booking, people } };
    }
    case "cancel":
      return { kind: "booked", booking: onOrOff(play.hire().booking) };
    default:
      return undefined;
  }
}

const onOrOff = (booking: Booking): Booking => ({
  ...booking,
  status: booking.status === "booked" ? "cancelled" : "booked",
});

const swapped = (booking: Booking): Booking => ({
  ...booking,
  van:
    booking.van.type === "curlew"
      ? { registration: "SX26 WRN", type: "wren" }
      : { registration: "SX26 ABC", type: "curlew" },
});

/** Makes a move. `buttons`: the taps of all buttons that hirers were ever shown, in order. */
export function make(play: Play, m: Move, buttons: readonly string[]): void {
  const staffs = actOf(m, play);
  if (staffs) return void play.staff(staffs.by, staffs.act);
  if (m.kind === "due") return void play.nextDue();
  if (m.kind === "again") return void play.again();
  if (m.kind === "restart") return void play.restart();
  if (m.kind === "desk") return void play.desk(m.contacts);
  if (m.kind === "waits") return void play.pass(m.minutes);
  const body = bodyOf(m, play, buttons);
  const late = m.kind === "says" && m.lateMin > 0 ? after(play.at, -m.lateMin) : undefined;
  if (body) play.arrives(body, late);
}
