/** The demo's invented hires: three vans on the road, one in the yard between two hires. */
import { addDays, atWall, dayOf, type Instant } from "../../src/calendar.js";
import type { House } from "../../src/house.js";
import type { Book } from "../../src/knowledge/book.js";
import type { Booking, DeskAct, HireId, LaneId, Reading } from "../../src/post.js";
import type { Handover } from "../../src/vans/handover.js";

type Row = {
  plate: string;
  type: string;
  surname: string;
  names: readonly string[];
  /** Days from today on which they set out and come back. */
  from: number;
  to: number;
  /** The odometer when they set out. */
  km: number;
};
const road: readonly Row[] = [
  {
    plate: "SX26 WRN",
    type: "wren",
    surname: "Stone",
    names: ["Rowan"],
    from: -2,
    to: 6,
    km: 41_200,
  },
  {
    plate: "SX26 CRL",
    type: "curlew",
    surname: "Field",
    names: ["Ailsa", "Jamie"],
    from: -5,
    to: 2,
    km: 73_500,
  },
  {
    plate: "SX26 PLV",
    type: "plover",
    surname: "Brook",
    names: ["Noor"],
    from: -1,
    to: 3,
    km: 18_900,
  },
];
const yard = { plate: "SX26 SKL", type: "wren", km: 60_300 };
const back: Row = { ...yard, surname: "Loch", names: ["Iona"], from: -4, to: 0 };
const next: Row = { ...yard, surname: "Heath", names: ["Sam"], from: 1, to: 6 };

/** A hirer's link of the demo. */
export type DemoLink = { name: string; van: string; plate: string; token: string };

/** Makes them as of `now`, with their records, and a light that came on; gives the links of those on the road. */
export async function inventHires(house: House, book: Book, now: Instant): Promise<DemoLink[]> {
  const { zone, region } = book.firm;
  const day = (n: number) => addDays(dayOf(now, zone), n);
  const make = ({ plate, type, surname, names, from, to }: Row) => {
    const booking: Booking = {
      hire: `demo-${surname.toLowerCase()}` as HireId,
      van: { registration: plate, type },
      pickupAt: atWall(day(from), "14:00", zone),
      returnAt: atWall(day(to), "10:00", zone),
      ...{ zone, region, lang: "en", surname, status: "booked" },
      people: names.map((name, i) => {
        const booker = i === 0;
        return { id: `p${i + 1}`, name, booker, ...(booker ? { phone: "07700 900456" } : {}) };
      }),
    };
    return house.makeHire(booking);
  };
  const record = (kind: "pickup" | "return", lane: LaneId, of: Row, found: Partial<Reading>) => {
    const handover: Handover = {
      ...{ registration: of.plate, by: "callum", unit: "miles", keys: 2 },
      ...{ photos: [], drivers: [...of.names], points: [], faults: [], confirmed: [] },
      kit: (book.vans.get(of.type)?.kit ?? []).map(({ item, count }) => ({
        ...{ item, due: count, found: count },
      })),
    };
    const reading: Reading = { at: now, by: "callum", oil: "between", fluid: 1, fuel: 1, ...found };
    const act: DeskAct = { do: `${kind}-record`, reading, handover };
    const body = { kind: "desk", by: "callum", act } as const;
    return house.file({
      key: `desk:callum:demo-${kind}-${of.surname}`,
      lane,
      receivedAt: now,
      body,
    });
  };

  const yardHire = await make(back);
  await record("pickup", yardHire.lane, back, { odometerKm: back.km });
  await record("return", yardHire.lane, back, {
    odometerKm: back.km + 1_100,
    fluid: 0.5,
    fuel: 0.9,
  });
  await make(next);
  const links: DemoLink[] = [];
  for (const row of road) {
    const made = await make(row);
    await record("pickup", made.lane, row, { odometerKm: row.km });
    const van = book.vans.get(row.type)?.name ?? row.type;
    for (const [i, { token }] of made.links.entries())
      links.push({ name: row.names[i] ?? "", van, plate: row.plate, token });
    if (row.type === "curlew")
      await house.file({
        key: "demo:light",
        lane: made.lane,
        receivedAt: now,
        body: {
          kind: "said",
          from: { person: "p1", via: { channel: "web", to: "p1" } },
          text: "the tyre pressure light came on",
        },
      });
  }
  return links;
}
