/** What is kept of one person of a hire, as one download: data.json and the photos that they sent. */
import { type Instant, isoIn } from "../../calendar.js";
import type { Hire, Person } from "../../hires/hire.js";
import { type KeepingFile, ofHirers } from "../../knowledge/firm/keeping.js";
import { laneOf } from "../../lanes.js";
import { isToldBy } from "../../reminders/answer.js";
import { eventsOfPerson, type TripEvent } from "../../store/events.js";
import type { Db } from "../../store/tables.js";
import type { Entry } from "./zip.js";

const extension = (kind: string): string => /^[a-z]+\/([a-z0-9]{1,8})$/.exec(kind)?.[1] ?? "bin";

/** The JSON of it; times with the hire's offset. `photoNames`: file id → its name in the archive. Pure. */
export function copyOf(
  hire: Hire,
  person: Person,
  events: readonly TripEvent[],
  terms: KeepingFile,
  now: Instant,
): { data: object; photoNames: Map<string, string> } {
  const { booking } = hire;
  const time = (at: number | undefined) =>
    at === undefined ? undefined : isoIn(at as Instant, booking.zone);
  const photoNames = new Map<string, string>();
  const messages = events.map(({ kind, at, channel, text, more }) => {
    const { file, lat, lon, accuracyM } = more;
    if (file) photoNames.set(file.id, `photos/${photoNames.size + 1}.${extension(file.kind)}`);
    return {
      at: time(at),
      from: kind === "in" ? "you" : "us",
      by: channel,
      text,
      ...(more.writtenAt === undefined ? {} : { writtenAt: time(more.writtenAt) }),
      ...(lat === undefined ? {} : { place: { lat, lon, accuracyM } }),
      ...(file ? { photo: photoNames.get(file.id) } : {}),
    };
  });
  const records = [
    ...(hire.vansBefore ?? []).map(({ pickup }) => ({ record: "pick-up", of: pickup })),
    { record: "pick-up", of: hire.pickup },
    { record: "return", of: hire.back },
  ].flatMap(({ record, of }) =>
    of
      ? [
          {
            record,
            at: time(of.at),
            driver: of.drivers.includes(person.name),
            remark: of.hirerRemark,
          },
        ]
      : [],
  );
  const data = {
    madeAt: time(now),
    person: {
      name: person.name,
      phone: person.phone,
      booker: person.booker,
      reachedBy: person.reached,
    },
    hire: {
      van: booking.van,
      pickUp: time(booking.pickupAt),
      return: time(booking.returnAt),
      back: time(hire.returnRecordAt),
      zone: booking.zone,
      region: booking.region,
      surname: booking.surname,
      status: booking.status,
    },
    messages,
    place: hire.place?.by === person.id ? { ...hire.place, at: time(hire.place.at) } : undefined,
    matters: hire.callouts
      .filter((c) => c.person === person.id)
      .map(({ title, severity, state, openedAt, doneAt, outcome, words, saidBy = [] }) => ({
        ...{ title, severity, state, outcome },
        // What they said stands among the messages too; with words of others in it, only there.
        ...(saidBy.every((id) => id === person.id) ? { words } : {}),
        openedAt: time(openedAt),
        doneAt: time(doneAt),
      })),
    readings: hire.readings
      .filter((r) => isToldBy(r, person))
      .map((r) => ({ ...r, at: time(r.at) })),
    records,
    howLong: ofHirers.map((term) => {
      const { what, why, days } = terms[term];
      return { what, why, daysAfterTheHire: days };
    }),
  };
  return { data, photoNames };
}

/** The files of the archive. `load`: a photo's bytes; one that cannot be had just now is left out and named. */
export async function* copyFiles(
  db: Db,
  hire: Hire,
  person: Person,
  terms: KeepingFile,
  now: Instant,
  load: (id: string) => Promise<Uint8Array | undefined>,
): AsyncGenerator<Entry> {
  const events = await eventsOfPerson(db, laneOf(hire.id), person.id);
  const { data, photoNames } = copyOf(hire, person, events, terms, now);
  const missing: string[] = [];
  for (const [id, name] of photoNames) {
    const bytes = await load(id);
    if (bytes) yield { name, bytes };
    else missing.push(name);
  }
  const whole = missing.length > 0 ? { ...data, missing } : data;
  yield { name: "data.json", bytes: Buffer.from(`${JSON.stringify(whole, undefined, 2)}\n`) };
}
