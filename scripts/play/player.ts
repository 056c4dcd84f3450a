/** The player of a script: the whole service in process, on a store of its own, with a clock that the script moves. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Instant, isoIn } from "../../src/calendar.js";
import type { Callout } from "../../src/callouts/callout.js";
import type { Door } from "../../src/channels/door.js";
import { fileText } from "../../src/channels/gateway/receive.js";
import { asText } from "../../src/channels/gateway/render.js";
import { openPhotos } from "../../src/channels/webchat/photos.js";
import { Fault } from "../../src/faults.js";
import type { LaneState, Step } from "../../src/hires/hire.js";
import { step } from "../../src/hires/step.js";
import { type House, openHouse } from "../../src/house.js";
import type { Book } from "../../src/knowledge/book.js";
import { laneOf } from "../../src/lanes.js";
import { quietLog } from "../../src/log.js";
import type { Matcher } from "../../src/matching/matcher.js";
import type { ArrivalBody, Booking, LaneId, Send } from "../../src/post.js";
import { textParts } from "../../src/providers.js";
import { whoIsOn } from "../../src/roster/on-duty.js";

/** A message that went out, or a change of a call-out. */
export type Out =
  | {
      at: string;
      to: string;
      text: string;
      buttons?: string[];
      severity?: string;
      callout?: number;
    }
  | {
      at: string;
      callout: number;
      state: string;
      with?: string;
      severity: string;
      because: string;
    };
type Shown = { tap: string; label: string };
type Stage = {
  readonly book: Book;
  readonly matcher: Matcher;
  /** Where the store and photos lie; goes when the player is closed. */
  readonly folder: string;
  /** Another store: a file or an address. */
  readonly database?: string | undefined;
  /** Test alerts at the start of shifts, and handing over at their end. */
  readonly shifts: boolean;
  /** Whether people have telephones. */
  readonly phones: boolean;
  /** What went out, in order. */
  readonly out: Out[];
  /** Buttons that each was shown ("hirer:NAME", "duty:NAME"), the newest first. */
  readonly buttons: Map<string, Shown[]>;
  /** The booking of the hire that the lines are about now. */
  booking: Booking;
  now: Instant;
};
export type Player = Stage & { house: House };

const stamp = (stage: Stage): string => isoIn(stage.now, stage.booking.zone);
const staffOf = (book: Book): string[] =>
  Object.keys(book.firm.contacts).filter((id) => book.firm.contacts[id]?.desk);
/** What a contact is called. */
export const nameIn = (book: Book, id: string): string => book.firm.contacts[id]?.name ?? id;

/** Call-outs that a step changed, as lines. */
function changes(stage: Stage, before: LaneState | undefined, made: Step): Out[] {
  if (made.state?.kind !== "hire") return [];
  const old = before?.kind === "hire" ? before.hire.callouts : [];
  return made.state.hire.callouts.flatMap((c) => {
    const was = old.find((o) => o.n === c.n);
    if (was && was.state === c.state && was.with === c.with && was.severity === c.severity)
      return [];
    return [
      {
        at: stamp(stage),
        callout: c.n,
        state: c.state,
        severity: c.severity,
        because: made.because.join("; "),
        ...(c.with ? { with: nameIn(stage.book, c.with) } : {}),
      },
    ];
  });
}

/** A door that writes down what leaves by it. */
function doorOf(stage: Stage, channel: Door["channel"]): Door {
  const { book, buttons } = stage;
  return {
    channel,
    send(send: Send) {
      const m: Send["message"] =
        channel === "gateway"
          ? { text: asText(send.message, { book, publicUrl: "https://trips.example.org" }) }
          : send.message;
      if (m.buttons)
        buttons.set(send.who, [...m.buttons, ...(buttons.get(send.who) ?? [])].slice(0, 60));
      stage.out.push({
        at: stamp(stage),
        to: send.who,
        text: m.text,
        ...(m.buttons ? { buttons: m.buttons.map((b) => b.label) } : {}),
        ...(send.severity ? { severity: send.severity } : {}),
        ...(send.callout === undefined ? {} : { callout: send.callout }),
      });
      return Promise.resolve({ kind: "sent" });
    },
  };
}

function houseOn(stage: Stage): Promise<House> {
  const { book, matcher, database, folder, shifts } = stage;
  return openHouse({
    book,
    matcher,
    clock: { now: () => stage.now },
    dbFile: database ?? join(folder, "talk.sqlite"),
    log: quietLog,
    random: () => 0.5,
    doors: (["web", "telegram", "desk", "hook", "gateway"] as const).map((channel) =>
      doorOf(stage, channel),
    ),
    atDesk: () => staffOf(book),
    hook: true,
    telegramStaff: {},
    shifts,
    step: (state, arrival, facts) => {
      const made = step(state, arrival, facts);
      stage.out.push(...changes(stage, state, made));
      return made;
    },
  });
}

/** Opens it at an instant, before anything is booked; `closePlayer` ends it. */
export async function openPlayer(
  parts: Omit<Stage, "folder" | "out" | "buttons">,
): Promise<Player> {
  const folder = mkdtempSync(join(tmpdir(), "passing-place-talk-"));
  const stage: Stage = { ...parts, folder, out: [], buttons: new Map() };
  return Object.assign(stage, { house: await houseOn(stage) });
}

/** Closes the house and opens it anew on the same store. */
export async function restart(player: Player): Promise<void> {
  await player.house.close();
  player.house = await houseOn(player);
}

/** Ends it; its folder goes. */
export async function closePlayer(player: Player): Promise<void> {
  await player.house.close();
  rmSync(player.folder, { recursive: true, force: true });
}

/** Lets time pass: whatever falls due on the way happens at its own instant. */
export async function passTo(player: Player, to: Instant): Promise<void> {
  for (let guard = 0; guard < 100_000; guard++) {
    const due = await player.house.nextAt();
    if (due === undefined || due > to) break;
    if (due > player.now) player.now = due;
    await player.house.runUntilIdle();
  }
  if (to > player.now) player.now = to;
  await player.house.runUntilIdle();
}

/** Files what line `n` says, by default in the lane of the hire. `writtenAt`: where it was written earlier. */
export async function fileLine(
  player: Player,
  n: number,
  body: ArrivalBody,
  more: { lane?: LaneId; writtenAt?: Instant } = {},
): Promise<void> {
  const lane = laneOf(player.booking.hire);
  await player.house.file({ key: `talk:${n}`, lane, receivedAt: player.now, body, ...more });
}

/** A text message, read as the gateway reads it. `writtenAt`: ISO. */
export function fileTextMessage(
  player: Player,
  n: number,
  text: { from: string; text: string; writtenAt?: string },
): Promise<void> {
  const photos = openPhotos(join(player.folder, "photos"));
  const parts = textParts(player.house, photos, true);
  return fileText(parts, text.from, { id: `talk-${n}`, media: [], ...text }, player.now);
}

/** A contact by id or name; "duty" is whoever the roster names now. @throws INPUT_WRONG with the line */
export function contactIn({ book, now }: Player, n: number, name: string): string {
  const [onDuty] = whoIsOn(book.firm, now).contacts;
  const wanted = name.toLowerCase();
  if (wanted === "duty" && onDuty) return onDuty;
  const id = Object.keys(book.firm.contacts).find(
    (c) => c === wanted || nameIn(book, c).toLowerCase() === wanted,
  );
  if (id) return id;
  throw new Fault(
    "INPUT_WRONG",
    `script line ${n}: nobody of staff is called "${name}"; ${staffOf(book).join(", ")} are`,
  );
}

/** The call-outs of the hire that are not done. */
export async function openCallouts({ house, booking }: Player): Promise<readonly Callout[]> {
  const state = await house.laneState(laneOf(booking.hire));
  return state?.kind === "hire" ? state.hire.callouts.filter((c) => c.state !== "done") : [];
}
