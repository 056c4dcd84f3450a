/** Lines of a script put to the service, each as it would come in. */
import { readIso, readLocal } from "../../src/calendar.js";
import { Fault } from "../../src/faults.js";
import { firmLane, laneOf } from "../../src/lanes.js";
import type { Booking } from "../../src/post.js";
import { readStaffTap } from "../../src/wording/staff-taps.js";
import { bookingOf, vanBody } from "./hires.js";
import { buttonIn, deskAct, hirerBody, type Line } from "./lines.js";
import {
  contactIn,
  fileLine,
  fileTextMessage,
  nameIn,
  openCallouts,
  type Player,
  passTo,
  restart,
} from "./player.js";
import { shiftBody } from "./shifts.js";

/** Lets time pass to the line, does what it says, and waits until nothing more happens. @throws INPUT_WRONG, TIME_WRONG */
export async function playLine(player: Player, n: number, line: Line): Promise<void> {
  await passTo(player, readIso(line.at));
  if (line.do === "restart") await restart(player);
  else if (line.change) await change(player, n, line.change);
  else if (line.hire) {
    const { book, phones } = player;
    const people = line.people ?? ["booker"];
    await rebook(player, n, bookingOf(line.hire, { people, id: `talk${n}`, book, n, phones }));
  } else if (line.do) await staffDo(player, n, line);
  else if (line.from?.startsWith("duty:")) await staffWrite(player, n, line);
  else if (line.from === "unknown") await writeText(player, n, line, "+447700900999");
  else if (line.from) await hirerDoes(player, n, line);
  await player.house.runUntilIdle();
}

/** From now on the lines are about this booking. */
async function rebook(player: Player, n: number, booking: Booking): Promise<void> {
  player.booking = booking;
  await fileLine(player, n, { kind: "booked", booking });
}

/** Another van, another return. */
async function change(player: Player, n: number, to: NonNullable<Line["change"]>): Promise<void> {
  const { booking } = player;
  const { registration, type } = booking.van;
  await rebook(player, n, {
    ...booking,
    van: { registration: to.van ?? registration, type: to.vanType ?? type },
    returnAt: to.return ? readLocal(to.return, booking.zone) : booking.returnAt,
  });
}

/** Which call-out an act of a contact is about that names none: theirs, else one that nobody has. */
async function calloutOf(player: Player, by: string): Promise<number> {
  const open = await openCallouts(player);
  const mine = open.find((c) => c.with === by) ?? open.find((c) => c.state === "nobody-yet");
  return (mine ?? open[0])?.n ?? 1;
}

/** An act of staff: at a van, of a shift, or on a call-out. */
async function staffDo(player: Player, n: number, line: Line): Promise<void> {
  const { house, booking, now } = player;
  const contact = (name: string) => contactIn(player, n, name);
  const by = contact(line.duty ?? "");
  const atVan = await vanBody(line, by, { booking, now, db: house.db });
  if (atVan) return fileLine(player, n, atVan.body, { lane: atVan.lane });
  const shift = await shiftBody(house, line, contact);
  if (shift) return fileLine(player, n, shift, { lane: firmLane });
  const callout = line.callout ?? (await calloutOf(player, by));
  const act = deskAct(line, callout, { contact, now, zone: booking.zone });
  await fileLine(player, n, { kind: "desk", by, act });
}

/** A button that staff tap, or words of theirs to the hirer. */
async function staffWrite(player: Player, n: number, line: Line): Promise<void> {
  const by = contactIn(player, n, (line.from ?? "").slice("duty:".length));
  if (line.tap !== undefined) {
    const known = player.buttons.get(`duty:${nameIn(player.book, by)}`) ?? [];
    const take = `take:${player.booking.hire}:${line.callout ?? (await calloutOf(player, by))}`;
    const read = readStaffTap(buttonIn(known, line.tap)?.tap ?? take, player.now);
    if (read) {
      const body = { kind: "desk", by, act: read.act } as const;
      return fileLine(player, n, body, { lane: laneOf(read.hire) });
    }
  }
  const own = (await openCallouts(player)).find((c) => c.with === by)?.n;
  const callout = own === undefined ? {} : { callout: own };
  const act = { do: "reply", text: line.text ?? "", ...callout } as const;
  await fileLine(player, n, { kind: "desk", by, act });
}

function writeText(player: Player, n: number, line: Line, from: string): Promise<void> {
  const { text = "", writtenAt } = line;
  return fileTextMessage(player, n, { from, text, ...(writtenAt ? { writtenAt } : {}) });
}

/** What somebody on the hire writes, taps or sends; by web chat, or by text message where the line says so. */
async function hirerDoes(player: Player, n: number, line: Line): Promise<void> {
  const { people } = player.booking;
  const name = line.from?.split(":")[1];
  const person = name ? people.find((p) => p.name.toLowerCase() === name.toLowerCase()) : people[0];
  if (!person)
    throw new Fault(
      "INPUT_WRONG",
      `script line ${n}: nobody on the hire is called "${name}"; ${people.map((p) => p.name).join(", ")} are`,
    );
  if (line.by === "text")
    return writeText(player, n, line, `+44770090050${people.indexOf(person)}`);
  const via = { channel: "web", to: person.id } as const;
  const from = { person: person.id, name: person.name, via };
  const body = hirerBody(line, from, player.buttons.get(`hirer:${person.name}`) ?? []);
  const { writtenAt } = line;
  await fileLine(player, n, body, writtenAt ? { writtenAt: readIso(writtenAt) } : {});
}
