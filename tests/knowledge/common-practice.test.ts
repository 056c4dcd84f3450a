/** What the trade does, with no published source behind it: common practice, no source. */
import { describe, expect, it } from "vitest";
import { placeholders } from "../../src/knowledge/placeholders.js";
import { book, outOfOrder, told, vans, vansOf } from "./told.js";

const having = (feature: string) => vans.filter((v) => book.vans.get(v)?.has.includes(feature));

describe("common practice, no source", () => {
  it("a full exhaust-fluid tank lasts over 3,000 miles, and goes back at the level of pick-up", () => {
    const gb = book.regions.get("gb");
    const ie = book.regions.get("ie");
    if (!gb || !ie) throw new Error("no regions");
    expect(having("exhaust-fluid-tank").sort()).toEqual(["curlew", "wren"]);
    for (const id of having("exhaust-fluid-tank")) {
      const van = book.vans.get(id);
      if (!van) throw new Error(id);
      const range = (region: typeof gb, nation: string) =>
        String(placeholders(van, region, nation, book.firm).get("van.fluid-range"));
      const miles = Number(/^([\d,]+) miles$/.exec(range(gb, "gb-sct"))?.[1]?.replace(",", ""));
      const km = Number(/^([\d,]+) km$/.exec(range(ie, "ie"))?.[1]?.replace(",", ""));
      expect(miles).toBeGreaterThan(3000);
      // Both are the same distance, rounded down to tens, with a comma: 3,450 miles, 5,550 km.
      expect(Math.abs(miles * 1.609344 - km)).toBeLessThan(20);
      expect(told("exhaust-fluid-range", id)).toContain(`lasts about ${range(gb, "gb-sct")}.`);
      expect(told("exhaust-fluid-range", id)).toMatch(/Bring it back at the level.* at pick-up/);
      // As the reminder has it: two days before the return.
      expect(told("exhaust-fluid-range", id)).toMatch(/Fill on one of the last two days/);
    }
  });
  it("figures read as people write them: one litre is no litres, thousands have a comma", () => {
    for (const van of vans)
      for (const id of book.entries.keys()) {
        const entry = book.entries.get(id);
        if (entry?.kind !== "answer" || !vansOf(id).includes(van)) continue;
        for (const nation of ["gb-sct", "ie"])
          expect(told(id, van, nation), `${id} ${van}`).not.toMatch(
            /\b1 litres|\b\d{4,} (miles|km|W|kg|litres)\b|\d\.\d{3,} /,
          );
      }
  });
  it("oil is checked every seven days, in the morning before the first drive", () => {
    for (const van of having("engine"))
      expect(told("oil-check", van)).toMatch(
        /On hires of more than a few days: every seven days, in the morning before the first drive/,
      );
    for (const van of having("engine"))
      expect(told("oil-check", van)).toMatch(/At the lower mark or below it: do not start/);
    expect(book.reminders.rules["oil-check"]?.when).toMatchObject({
      kind: "day",
      day: 7,
      every: 7,
      at: "08:00",
    });
  });
  it("an awning comes down before high wind and in very heavy rain, and is never left alone", () => {
    for (const van of vans) {
      expect(told("awning-wind", van)).toMatch(
        /^.*\nTake it down before the wind.*very heavy rain/,
      );
      expect(told("awning-up", van)).toMatch(/Never leave it (up|out) unwatched, overnight/);
      expect(told("awning-up", van)).toMatch(/ask the site where cables and pipes lie/);
      // Nobody is asked to hold in a gale what another text says not to hang on to.
      for (const id of ["awning-wind", "awning-down"]) {
        expect(told(id, van), id).toMatch(/Strong gusts.*nobody holds on/);
        expect(told(id, van), id).not.toMatch(/in any wind/);
      }
      expect(told("awning-stuck-out", van)).toMatch(/Strong wind\? .*Do not hang on to it/);
    }
  });
  it("mains sockets work only on hook-up, but for the one that an inverter feeds", () => {
    for (const van of vans)
      expect(told("mains-sockets", van)).toMatch(
        having("inverter").includes(van)
          ? /work on hook-up\. One of them also works from the inverter/
          : /The mains sockets work only on hook-up, not from the battery/,
      );
  });
  it("legs of table and bench are locked before anybody sits", () => {
    for (const van of having("table-and-bench")) {
      expect(told("table", van)).toMatch(/Lock the leg before anybody sits/);
      expect(told("bench", van)).toMatch(/Both supports locked before anybody sits/);
    }
    expect(having("table-and-bench").length).toBeGreaterThan(0);
  });
  it("somebody outside guides every reversing manoeuvre, where the driver sees them", () => {
    for (const van of vans) {
      expect(told("reverse-gear", van)).toMatch(
        /Have someone stand outside, to the side, where you see them in the mirror/,
      );
      expect(told("reverse-gear", van)).toMatch(/Lost sight of them\? Stop/);
      expect(told("handover-checks", van)).toMatch(/reverse gear with somebody outside/);
    }
  });
  it("the floor is wiped before a mattress goes down", () => {
    for (const van of vans) {
      expect(told("cleaning-inside", van)).toMatch(/Wipe the floor before the mattress goes down/);
      expect(outOfOrder(told("bed-lower", van), [/[Ww]ipe/, /mattress/])).toEqual([]);
    }
  });
  it("any warning light or breakdown means: us first, then roadside assistance", () => {
    for (const id of ["abs", "oil-pressure", "flat-tyre", "wont-start"])
      for (const van of vans)
        expect(outOfOrder(told(id, van), [/Ring us first/, /Roadside assistance/])).toEqual([]);
    expect(told("contact-us", "wren")).toMatch(/Any warning light or breakdown: ring us first/);
    expect(told("breakdown-cover", "wren")).toMatch(/for breakdowns only/);
    // Nor for what it may refuse or charge.
    for (const id of ["wrong-fuel", "out-of-fuel", "exhaust-fluid-in-fuel", "wrong-filler"])
      expect(told(id, "wren"), id).not.toMatch(/Roadside assistance/);
    expect(told("out-of-charge", "plover")).not.toMatch(/Roadside assistance/);
    expect(told("breakdown-cover", "plover")).toMatch(/an empty tank or drive battery/);
  });
  it("a child, a helpless person or a pet shut in: the emergency number at once, in every text", () => {
    for (const van of vans)
      for (const id of ["locked-out", "keys-lost", "shut-in-heat"])
        expect(told(id, van), id).toMatch(/[Rr]ing 999 or 112 now/);
  });
  it("a van that is gone is told to the police, and is an emergency only while it happens", () => {
    for (const id of ["break-in", "theft-break-in"]) {
      expect(told(id, "wren"), id).toMatch(/[Yy]ou see it happen.*driven off\?.* 999 or 112/);
      expect(told(id, "wren"), id).not.toMatch(/gone\? (999|Ring 999)/);
    }
  });
  it("a handbrake that does not hold: first gear facing uphill, reverse facing downhill", () => {
    for (const van of having("manual-gearbox"))
      expect(told("parking-brake-fault", van)).toMatch(/first gear facing uphill, reverse facing/);
    for (const van of having("automatic")) {
      const text = told("parking-brake-fault", van);
      expect(text).toMatch(/selector to P.*\n.*\n.*press the switch\. Once only/);
      expect(text).not.toMatch(/pull it on|first gear/);
    }
  });
  it("an engine that cuts out: the key stays in while the van rolls, or the steering locks", () => {
    for (const van of having("manual-gearbox"))
      expect(
        outOfOrder(told("engine-cut-out", van), [/Leave the key in and turned/, /Steer off/]),
      ).toEqual([]);
  });
  it("what is loose on a fixed roof is looked at from the ground", () => {
    for (const van of vans.filter((v) => !having("elevating-roof").includes(v))) {
      const text = told("roof-wont-lower", van);
      expect(text).toMatch(/Leave it there and send us a photo from the ground/);
      expect(text).not.toMatch(/off the roof/);
    }
  });
  it("the steps of a kit's way are told the same in every place: one switch, one name, one stowage", () => {
    for (const van of vans) {
      const kit = told("find-equipment", van);
      const facts = book.vans.get(van)?.facts ?? {};
      for (const [key, id] of [
        ["place-extinguisher", "fire-extinguisher"],
        ["place-triangle", "warning-triangle"],
        ["place-hi-vis", "hi-vis"],
        ["place-hook-up-cable", "hook-up"],
        ["place-first-aid", "first-aid"],
        ["place-chairs", "outdoor-chairs"],
        ["place-ramps", "levelling"],
      ] as const) {
        expect(kit, `${van} ${key}`).toContain(String(facts[key]));
        expect(told(id, van), `${van} ${id}`).toContain(String(facts[key]));
      }
    }
  });
});
