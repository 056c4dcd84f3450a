/** The script player: the whole service in process, on a store of its own, with a script clock. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { z } from "zod";
import { type Instant, instantOf, isoIn, readIso, readLocal } from "../../src/calendar.js";
import type { Door } from "../../src/channels/door.js";
import { fileText } from "../../src/channels/gateway/receive.js";
import { asText } from "../../src/channels/gateway/render.js";
import { openPhotos } from "../../src/channels/webchat/photos.js";
import { Fault } from "../../src/faults.js";
import type { LaneState, Step } from "../../src/hires/hire.js";
import { step } from "../../src/hires/step.js";
import { type House, openHouse } from "../../src/house.js";
import type { Book } from "../../src/knowledge/book.js";
import { openLog } from "../../src/log.js";
import type { Matcher } from "../../src/matching/matcher.js";
import type { Arrival, ArrivalBody, Booking, LaneId, Send } from "../../src/post.js";
import { textParts } from "../../src/providers.js";
import { firmLane } from "../../src/roster/duty/step.js";
import { whoIsOn } from "../../src/roster/on-duty.js";
import { laneOf } from "../../src/store/hires.js";
import { readStaffTap } from "../../src/wording/staff-taps.js";
import { bookingOf, ScriptHire, vanBody } from "./hires.js";
import { deskAct, hirerBody, Line, names } from "./lines.js";
import { shiftBody } from "./shifts.js";

const First = z.strictObject({
  hire: ScriptHire,
  people: names,
  /** Test alerts at the start of shifts, and handing over at their end. */
  shifts: z.boolean().optional(),
});
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

function read<S extends z.ZodType>(schema: S, raw: string, n: number): z.output<S> {
  let json: unknown;
  try {
    json = JSON.parse(raw);
  } catch {
    throw new Fault("INPUT_WRONG", `script line ${n}: no JSON`);
  }
  const parsed = schema.safeParse(json);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  throw new Fault(
    "INPUT_WRONG",
    `script line ${n}: ${issue?.path.join(".") || "line"}: ${issue?.message ?? "unreadable"}`,
  );
}

/** Call-outs that a step changed, as lines. */
function changes(before: LaneState | undefined, made: Step, at: string, book: Book): Out[] {
  if (made.state?.kind !== "hire") return [];
  const old = before?.kind === "hire" ? before.hire.callouts : [];
  return made.state.hire.callouts.flatMap((c) => {
    const was = old.find((o) => o.n === c.n);
    if (was && was.state === c.state && was.with === c.with && was.severity === c.severity)
      return [];
    return [
      {
        at,
        callout: c.n,
        state: c.state,
        severity: c.severity,
        because: made.because.join("; "),
        ...(c.with ? { with: book.firm.contacts[c.with]?.name ?? c.with } : {}),
      },
    ];
  });
}

/**
 * Plays a script (JSON lines) on a store of its own and gives everything that went out, in order.
 * @throws INPUT_WRONG, TIME_WRONG with the line that is wrong
 */
export async function play(
  script: string,
  book: Book,
  matcher: Matcher,
  database?: string,
): Promise<Out[]> {
  const raws = script
    .split("\n")
    .map((raw, i) => ({ raw, n: i + 1 }))
    .filter(({ raw }) => raw.trim() !== "" && !raw.startsWith("#"));
  const [head, ...rest] = raws;
  if (!head) throw new Fault("INPUT_WRONG", 'the script is empty; its first line is {"hire":{…}}');
  const first = read(First, head.raw, head.n);
  const lines = rest.map(({ raw, n }) => ({ n, line: read(Line, raw, n) }));
  let { hire } = first;
  // People have telephones only where the script uses them (Ofcom's range for drama).
  const byText = lines.some(({ line }) => line.by === "text");
  const withPhones = (made: Booking): Booking => ({
    ...made,
    people: made.people.map((p, i) => (byText ? { ...p, phone: `07700 90050${i}` } : p)),
  });
  let booking = withPhones(bookingOf(hire, first.people ?? ["booker"], "talk", book, head.n));
  let lane = laneOf(booking.hire);
  const out: Out[] = [];
  const firstAt = lines[0] ? readIso(lines[0].line.at) : booking.pickupAt;
  let now: Instant = instantOf(Math.min(firstAt, booking.pickupAt));
  const stamp = () => isoIn(now, hire.zone);
  const buttons = new Map<string, { tap: string; label: string }[]>();

  const door = (channel: Door["channel"]): Door => ({
    channel,
    send(send: Send) {
      const m: Send["message"] =
        channel === "gateway"
          ? { text: asText(send.message, { book, publicUrl: "https://trips.example.org" }) }
          : send.message;
      if (m.buttons)
        buttons.set(send.who, [...m.buttons, ...(buttons.get(send.who) ?? [])].slice(0, 60));
      out.push({
        at: stamp(),
        to: send.who,
        text: m.text,
        ...(m.buttons ? { buttons: m.buttons.map((b) => b.label) } : {}),
        ...(send.severity ? { severity: send.severity } : {}),
        ...(send.callout === undefined ? {} : { callout: send.callout }),
      });
      return Promise.resolve({ kind: "sent" });
    },
  });
  const folder = mkdtempSync(join(tmpdir(), "passing-place-talk-"));
  const desk = Object.keys(book.firm.contacts).filter((id) => book.firm.contacts[id]?.desk);
  const open = (): Promise<House> =>
    openHouse({
      book,
      matcher,
      clock: { now: () => now },
      dbFile: database ?? join(folder, "talk.sqlite"),
      log: openLog("silent"),
      random: () => 0.5,
      doors: (["web", "telegram", "desk", "hook", "gateway"] as const).map(door),
      atDesk: () => desk,
      hook: true,
      telegramStaff: {},
      shifts: first.shifts ?? false,
      step: (state, arrival, facts) => {
        const made = step(state, arrival, facts);
        out.push(...changes(state, made, stamp(), book));
        return made;
      },
    });
  let house = await open();
  const pass = async (to: Instant) => {
    for (let guard = 0; guard < 100_000; guard++) {
      const due = await house.nextAt();
      if (due === undefined || due > to) break;
      if (due > now) now = due;
      await house.runUntilIdle();
    }
    if (to > now) now = to;
    await house.runUntilIdle();
  };
  /** A contact by id or name; "duty" is whoever the roster names now. */
  const contact = (name: string, n: number) => {
    const [onDuty] = whoIsOn(book.firm, now).contacts;
    if (name.toLowerCase() === "duty" && onDuty) return onDuty;
    const id = Object.keys(book.firm.contacts).find(
      (c) =>
        c === name.toLowerCase() ||
        book.firm.contacts[c]?.name.toLowerCase() === name.toLowerCase(),
    );
    if (!id)
      throw new Fault(
        "INPUT_WRONG",
        `script line ${n}: nobody of staff is called "${name}"; ${desk.join(", ")} are`,
      );
    return id;
  };
  const openNow = async () => {
    const state = await house.laneState(lane);
    return state?.kind === "hire" ? state.hire.callouts.filter((c) => c.state !== "done") : [];
  };
  const latest = async (by: string): Promise<number> => {
    const open = await openNow();
    return (
      (open.find((c) => c.with === by) ?? open.find((c) => c.state === "nobody-yet") ?? open[0])
        ?.n ?? 1
    );
  };
  const file = (
    n: number,
    body: ArrivalBody,
    to: LaneId = lane,
    writtenAt?: Instant,
  ): Promise<unknown> => {
    const arrival: Arrival = {
      key: `talk:${n}`,
      lane: to,
      receivedAt: now,
      body,
      ...(writtenAt === undefined ? {} : { writtenAt }),
    };
    return house.file(arrival);
  };

  const photos = openPhotos(join(folder, "photos"));
  /** A text message, read as the gateway reads it. */
  const text = (n: number, number: string, line: Line): Promise<void> =>
    fileText(textParts(house, photos, true), number, {
      id: `talk-${n}`,
      from: number,
      text: line.text ?? "",
      media: [],
      ...(line.writtenAt === undefined ? {} : { writtenAt: line.writtenAt }),
    });

  try {
    await file(0, { kind: "booked", booking });
    await house.runUntilIdle();
    for (const { n, line } of lines) {
      await pass(readIso(line.at));
      if (line.do === "restart") {
        await house.close();
        house = await open();
        await house.runUntilIdle();
        continue;
      }
      if (line.change) {
        const { van, vanType, return: back } = line.change;
        const { registration, type } = booking.van;
        booking = {
          ...booking,
          van: { registration: van ?? registration, type: vanType ?? type },
          returnAt: back ? readLocal(back, hire.zone) : booking.returnAt,
        };
        await file(n, { kind: "booked", booking });
        await house.runUntilIdle();
        continue;
      }
      if (line.hire) {
        hire = line.hire;
        booking = withPhones(bookingOf(hire, line.people ?? ["booker"], `talk${n}`, book, n));
        lane = laneOf(booking.hire);
        await file(n, { kind: "booked", booking });
        await house.runUntilIdle();
        continue;
      }
      const atVan =
        line.do && (await vanBody(line, contact(line.duty ?? "", n), booking, now, house.db));
      const shift = line.do && (await shiftBody(house, line, (name) => contact(name, n)));
      if (atVan) await file(n, atVan.body, atVan.lane);
      else if (shift) await file(n, shift, firmLane);
      else if (line.do) {
        const by = contact(line.duty ?? "", n);
        await file(n, {
          kind: "desk",
          by,
          act: deskAct(
            line,
            line.callout ?? (await latest(by)),
            (name) => contact(name, n),
            now,
            hire.zone,
          ),
        });
      } else if (line.from?.startsWith("duty:")) {
        const by = contact(line.from.slice(5), n);
        const known = buttons.get(`duty:${book.firm.contacts[by]?.name ?? by}`) ?? [];
        const wanted = line.tap?.toLowerCase();
        const tap =
          known.find((b) => b.label.toLowerCase() === wanted || b.tap === line.tap)?.tap ??
          `take:${booking.hire}:${line.callout ?? (await latest(by))}`;
        const read = wanted === undefined ? undefined : readStaffTap(tap, now);
        if (read) await file(n, { kind: "desk", by, act: read.act }, laneOf(read.hire));
        else {
          const own = (await openNow()).find((c) => c.with === by)?.n;
          const callout = own === undefined ? {} : { callout: own };
          await file(n, {
            kind: "desk",
            by,
            act: { do: "reply", text: line.text ?? "", ...callout },
          });
        }
      } else if (line.from === "unknown") {
        await text(n, "+447700900999", line);
      } else if (line.from) {
        const name = line.from.split(":")[1];
        const { people } = booking;
        const person = name
          ? people.find((p) => p.name.toLowerCase() === name.toLowerCase())
          : people[0];
        if (!person)
          throw new Fault(
            "INPUT_WRONG",
            `script line ${n}: nobody on the hire is called "${name}"; ${people.map((p) => p.name).join(", ")} are`,
          );
        if (line.by === "text") {
          await text(n, `+44770090050${people.indexOf(person)}`, line);
          await house.runUntilIdle();
          continue;
        }
        const from = {
          person: person.id,
          name: person.name,
          via: { channel: "web", to: person.id } as const,
        };
        await file(
          n,
          hirerBody(line, from, buttons.get(`hirer:${person.name}`) ?? []),
          lane,
          line.writtenAt ? readIso(line.writtenAt) : undefined,
        );
      }
      await house.runUntilIdle();
    }
  } finally {
    await house.close();
    rmSync(folder, { recursive: true, force: true });
  }
  return out;
}
