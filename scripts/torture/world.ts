/** What a real service is given to be flooded or measured: bookings, a port, settings. */
import { instantOf } from "../../src/calendar.js";
import type { Booking, HireId } from "../../src/post.js";
import { isAddress } from "../../src/store/dialect.js";
import { makeHire } from "../../src/store/hires.js";
import { openStore } from "../../src/store/open.js";
import type { Db } from "../../src/store/tables.js";

export const botId = "424242";
export const secret = "torture-secret-of-many-letters";

/** The `n`th hire, picked up an hour ago for six days more. */
function bookingOf(n: number): Booking {
  const now = Date.now();
  return {
    hire: `t${n}` as HireId,
    van: { registration: `TT${10 + n} VAN`, type: "curlew" },
    pickupAt: instantOf(now - 3_600_000),
    returnAt: instantOf(now + 6 * 86_400_000),
    zone: "Europe/London",
    region: "scotland",
    lang: "en",
    people: [{ id: "p1", name: `P${n}`, booker: true }],
    surname: `Hirer ${n}`,
    status: "booked",
  };
}

/** Works on the database at a place (a file or an address), and closes it. */
export async function withStore<T>(place: string, work: (db: Db) => Promise<T>): Promise<T> {
  const store = await openStore(place, instantOf(Date.now()));
  try {
    return await work(store.db);
  } finally {
    await store.close();
  }
}

/** Books so many hires; gives the tokens of their links. */
export const bookHires = (place: string, many: number): Promise<string[]> =>
  withStore(place, async (db) => {
    const tokens: string[] = [];
    for (let n = 1; n <= many; n++)
      tokens.push((await makeHire(db, bookingOf(n), instantOf(Date.now()))).links[0]?.token ?? "");
    return tokens;
  });

/** The environment of a service on a database, with a Bot API of ours. */
export const settingsFor = (of: {
  place: string;
  folder: string;
  apiRoot: string;
  /** Ordinary messages a second that go out. */
  perSecond: number;
}): Record<string, string> => ({
  HOST: "127.0.0.1",
  PUBLIC_URL: "http://127.0.0.1:3000",
  ...(isAddress(of.place)
    ? { DATABASE_URL: of.place, PHOTO_FOLDER: of.folder }
    : { DATABASE_FILE: of.place }),
  DESK_PASSWORD_MORAG: "torture four plain words",
  TELEGRAM_BOT_TOKEN: `${botId}:torture-torture-torture`,
  TELEGRAM_SECRET: secret,
  TELEGRAM_STAFF: "morag:9001,callum:9002",
  TELEGRAM_API_ROOT: of.apiRoot,
  TELEGRAM_PER_SECOND: String(of.perSecond),
});
