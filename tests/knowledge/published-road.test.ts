/** Limits, numbers and conduct on the road against the Highway Code, Irish law and the road operators. */
import { describe, expect, it } from "vitest";
import type { Book } from "../../src/knowledge/book.js";
import { book, nations, outOfOrder, told, vans, vansOf } from "./told.js";

const uk = nations.filter((n) => n !== "ie");

/** The book with one more van: the Curlew at another unladen mass, kg. */
function withUnladen(kg: number): Book {
  const curlew = book.vans.get("curlew");
  if (!curlew) throw new Error("no curlew");
  const figures = { ...curlew.figures, unladenKg: kg };
  return { ...book, vans: new Map(book.vans).set("other", { ...curlew, id: "other", figures }) };
}
/** The four limits as told: built-up, single, dual, motorway. */
function limits(van: string, nation: string, from?: Book): string[] {
  const text = told("speed-limits", van, nation, from);
  return ["Built-up roads", "Other single roads", "Dual carriageways[^:]*", "Motorways"].map(
    (road) => new RegExp(`${road}: (\\d+ (?:mph|km/h))`).exec(text)?.[1] ?? "none",
  );
}
const mph = (...n: number[]) => n.map((v) => `${v} mph`);

describe("speed limits", () => {
  // Highway Code, rule 124 table: motor caravans to 3.05 tonnes maximum unladen weight go as cars, heavier ones slower.
  it("are those of cars for vans of up to 3,050 kg unladen, the Curlew of 3,020 kg among them", () => {
    expect(book.vans.get("curlew")?.figures.unladenKg).toBe(3020);
    for (const van of vans) expect(limits(van, "gb-eng"), van).toEqual(mph(30, 60, 70, 70));
    expect(limits("other", "gb-eng", withUnladen(3050))).toEqual(mph(30, 60, 70, 70));
  });
  it("are 50, 60 and 70 mph for a van of 3,100 kg unladen, and of 3,051 kg", () => {
    for (const kg of [3051, 3100])
      for (const nation of ["gb-eng", "gb-sct", "gb-nir"])
        expect(limits("other", nation, withUnladen(kg)), nation).toEqual(mph(30, 50, 60, 70));
    expect(limits("other", "gb-wls", withUnladen(3100))).toEqual(mph(20, 50, 60, 70));
  });
  it("are 20 mph on lit roads in Wales, 30 mph in the other nations of the United Kingdom", () => {
    // Highway Code, rules 113 and 124, as of 17 September 2023.
    for (const nation of uk)
      expect(limits("wren", nation)[0], nation).toBe(nation === "gb-wls" ? "20 mph" : "30 mph");
    // Who hires elsewhere may drive to Wales.
    for (const nation of nations)
      expect(told("speed-limits", "wren", nation), nation).toContain("Wales: 20 mph in built-up");
  });
  it("are in Ireland those of 7 February 2025, in kilometres an hour", () => {
    // Road Safety Authority: built-up 50, regional 80, national 100, motorway 120, rural local 60 (the black bars on white).
    for (const van of vans) {
      expect(limits(van, "ie")).toEqual(["50 km/h", "80 km/h", "100 km/h", "120 km/h"]);
      const text = told("speed-limits", van, "ie");
      expect(text).toMatch(/White disc with black bars.*at most 60 km\/h in Ireland/);
      expect(text).toMatch(
        /Ireland: national roads 100 km\/h, regional roads 80, small rural roads 60/,
      );
      expect(text).toMatch(/miles an hour in the United Kingdom, kilometres an hour in Ireland/);
    }
  });
});

describe("drink-drive limits", () => {
  it.each([
    // Highway Code, rule 95; GOV.UK for Northern Ireland; Road Traffic Acts as summarised by the Road Safety Authority.
    ["gb-eng", 35, 80],
    ["gb-wls", 35, 80],
    ["gb-sct", 22, 50],
    ["gb-nir", 35, 80],
    ["ie", 22, 50],
  ])("in %s are %i µg of breath and %i mg of blood in 100 ml", (nation, breath, blood) => {
    for (const van of vans)
      expect(told("drink-drive", van, nation)).toMatch(
        new RegExp(`is ${breath} µg in 100 ml of breath, or ${blood} mg in 100 ml of blood\\.\\n`),
      );
  });
});

describe("numbers to ring", () => {
  it("are 999 or 112 in the United Kingdom, 112 or 999 in Ireland", () => {
    // Highway Code Annex 7; An Garda Síochána and the Road Safety Authority.
    for (const nation of nations) {
      const said = nation === "ie" ? "112 or 999" : "999 or 112";
      for (const id of ["fire", "medical", "emergency-numbers", "contact-us"])
        expect(told(id, "wren", nation), `${id} ${nation}`).toContain(said);
    }
  });
  it("are 101 where nobody is in danger in the United Kingdom, 111 in Great Britain, and never told in Ireland", () => {
    for (const nation of uk) {
      expect(told("emergency-numbers", "wren", nation)).toMatch(/Police, not urgent: 101\./);
      const nhs = nation === "gb-nir" ? /urgent: a GP out-of-hours service or/ : /urgent: 111\./;
      expect(told("emergency-numbers", "wren", nation)).toMatch(nhs);
    }
    expect(told("emergency-numbers", "wren", "ie")).not.toMatch(/\b(101|111|105)\b/);
  });
  it("are those of the gas emergency lines of Great Britain, Northern Ireland and Ireland", () => {
    // Gas network emergency lines: 0800 111 999, 0800 002 001, 1800 20 50 50. The 1850 numbers of old were withdrawn.
    for (const nation of nations) {
      const line =
        nation === "ie" ? "1800 20 50 50" : nation === "gb-nir" ? "0800 002 001" : "0800 111 999";
      for (const id of ["gas-leak", "gas-smell", "emergency-numbers"]) {
        const text = told(id, "curlew", nation);
        expect(text, `${id} ${nation}`).toContain(line);
        expect(text, id).not.toContain("1850");
      }
    }
  });
  it("are 105 for a power cut in Great Britain, no number for Northern Ireland, and the text service by registering with 999", () => {
    // UK electricity networks (from memory: of Northern Ireland not for certain); emergencySMS: text register to 999, answer yes, wait for the confirmation.
    for (const nation of uk) {
      const cut = nation === "gb-nir" ? /Power cut: the electricity network/ : /Power cut: 105\./;
      expect(told("emergency-numbers", "wren", nation)).toMatch(cut);
      if (nation === "gb-nir")
        for (const id of ["emergency-numbers", "electric-shock", "wind-driving", "first-aid"])
          expect(told(id, "wren", nation), id).not.toMatch(/\b(105|111)\b/);
      expect(told("mobile-signal", "wren", nation)).toMatch(
        /text REGISTER to 999, answer YES, wait for the confirmation/,
      );
    }
  });
  it("are the road operators' own: National Highways in England, the motorway centre in Ireland", () => {
    expect(book.regions.get("gb")?.nations["gb-eng"]?.roadsLine).toBe("0300 123 5000");
    expect(book.regions.get("ie")?.nations.ie?.roadsLine).toBe("0818 715 100");
  });
});

describe("a breakdown", () => {
  it("on a motorway: out on the side away from traffic, behind the barrier, no triangle, no repairs, no way back", () => {
    // Highway Code, rule 277; for Ireland the Road Safety Authority says the same.
    for (const nation of nations)
      for (const van of vans) {
        const text = told("live-lane", van, nation);
        expect(
          outOfOrder(text, [
            /far left/,
            /out on the side away from traffic, all out that way, behind the barrier, well away/,
            /Hazard lights on; sidelights too in the dark/,
            /SOS button/,
            /marker post/,
          ]),
        ).toEqual([]);
        expect(text).toMatch(/Never put out a warning triangle on a motorway/);
        expect(text).toMatch(/Never try to repair anything or change a wheel/);
        expect(text).toMatch(/never go back to it/);
        expect(text).toMatch(/Wheels turned left/);
        expect(text).toMatch(/Face the traffic/);
        expect(text).toMatch(/Keep animals in the van/);
      }
  });
  it("with no safe way out: stay in, belts and hazards on, ring, in the very first line", () => {
    // Highway Code, rule 277.
    for (const nation of nations)
      expect(told("live-lane", "wren", nation).split("\n")[0]).toMatch(
        /cannot get out safely on the side away from traffic, stay in: belts on, hazards on, ring (999|112)/,
      );
  });
  it("of any kind that stops a van carries the motorway's rules with it", () => {
    for (const id of ["flat-tyre", "oil-pressure", "overheating", "wont-start"])
      for (const van of vansOf(id))
        expect(told(id, van), id).toMatch(
          /out by the left, behind the barrier, no triangle, no repairs.*stay in, belts and hazards on/,
        );
  });
  it("sends nobody round it beside traffic: what is to be looked at comes after where not to stand", () => {
    // Highway Code, rules 274 and 275: keep away from moving traffic; do not stand between the van and oncoming traffic.
    const looks = [
      "pulls-or-shakes",
      "hit-something",
      "steering-heavy",
      "brake-system",
      "oil-pressure",
    ];
    for (const id of looks)
      for (const van of vansOf(id))
        expect(
          outOfOrder(told(id, van), [
            /from outside only where no traffic passes; else leave that/,
            /\n1\. /,
          ]),
          id,
        ).toEqual([]);
  });
  it("elsewhere: the triangle at least 45 m behind, on the same side, never on a motorway", () => {
    // Highway Code, rules 276 and 277.
    for (const van of vans) {
      const text = told("warning-triangle", van);
      expect(text).toMatch(/45 m behind the van at least, same side/);
      expect(text).toMatch(/Never use it on a motorway/);
      const steps = Number(/about (\d+) long steps/.exec(text)?.[1]);
      // A long step is 0.75 m: 45 m are 60 of them.
      expect(steps * 0.75).toBeGreaterThanOrEqual(45);
    }
  });
  it("on a level crossing: everyone out and clear, the railway phone, then the van only if there is time", () => {
    // Highway Code, rule 299.
    for (const nation of nations) {
      const text = told("level-crossing", "curlew", nation);
      expect(
        outOfOrder(text, [
          /Everyone out and away from the track/,
          /railway phone/,
          /Do exactly what the signaller says/,
          /Move the van only if there is time/,
          /If the alarm starts, leave it/,
        ]),
      ).toEqual([]);
      expect(text.split("\n")[0]).toMatch(/railway phone.*(999|112)/);
    }
  });
  it("with a burst tyre: grip, roll out, stop at the side, and nobody changes the wheel at a risk", () => {
    // Highway Code, Annex 6.
    for (const van of vansOf("flat-tyre")) {
      expect(told("flat-tyre", van)).toMatch(/Hold the wheel tight, roll out slowly/);
      expect(told("puncture", van)).toMatch(/Do not (change the wheel|mend it) yourself/);
    }
  });
});

describe("conduct", () => {
  it("after a collision: stop, details, and the police within 24 hours", () => {
    // Highway Code, rules 283 and 286 (Road Traffic Act 1988, section 170).
    for (const id of ["accident", "collision"])
      expect(told(id, "wren"), id).toMatch(/within 24 hours/);
    expect(told("accident", "wren")).toMatch(/^.*\nYou must stop/);
    expect(told("injury", "wren")).toMatch(/Never move them unless fire, water or traffic/);
    expect(told("injury", "wren")).toMatch(/Never take off a rider's helmet, unless/);
  });
  it("on single-track roads: left into the place, opposite one on the right, uphill first", () => {
    // Highway Code, rule 155.
    const text = told("single-track", "curlew");
    expect(text).toMatch(/Place on your left: pull into it\. Place on your right: wait/);
    expect(text).toMatch(/Give way to traffic that comes uphill/);
    expect(text).toMatch(/Faster traffic behind\? Pull in on the left/);
    expect(text).toMatch(/Never park.*in a passing place/);
  });
  it("with gaps of two seconds, four in the wet, ten times as much on ice", () => {
    // Highway Code, rules 126, 227 and 230: at least double in the wet.
    const [, dry, wet] =
      /Keep (\w+) seconds to the next vehicle, (\w+) in the wet/.exec(
        told("motorway-driving", "wren"),
      ) ?? [];
    expect([dry, wet]).toEqual(["two", "four"]);
    expect(told("snow-ice", "wren")).toMatch(/up to ten times the usual gap/);
  });
  it("with breaks of 15 minutes every two hours, and no start between midnight and six", () => {
    // Highway Code, rule 91.
    const text = told("night-driving", "wren");
    expect(text).toMatch(/15 minutes at least every two hours/);
    expect(text).toMatch(/between midnight and six/);
  });
  it("with fog lights only under 100 metres", () => {
    // Highway Code, rules 226 and 236.
    for (const van of vans) {
      expect(told("lights-controls", van)).toMatch(/less than 100 m\. Switch them off after/);
      expect(told("rear-fog", van)).toMatch(/less than 100 metres/);
    }
  });
  it("with hazard lights when standing in the way, and moving only on motorways to warn", () => {
    // Highway Code, rule 116.
    const text = told("hazard-lights", "plover");
    expect(text).toMatch(/when you stand still and are in the way/);
    expect(text).toMatch(/Moving: only on a motorway or fast dual carriageway, briefly/);
  });
  it("with no phone in the hand, but for 999 or 112 where stopping is no way out", () => {
    // Highway Code, rule 149.
    const text = told("phone-use", "wren");
    expect(text).toMatch(/Never hold a phone while you drive, nor at lights or in a queue/);
    expect(text).toMatch(/Only where stopping would be unsafe may you ring 999 or 112/);
  });
  it("with child seats until 135 cm or 12, belts for all, and none facing back at a live airbag", () => {
    // Highway Code, rules 99 to 101.
    for (const van of vans) {
      const text = told("child-seats", van);
      expect(text).toMatch(/until 135 cm tall or the 12th birthday, whichever comes first/);
      expect(text).toMatch(/Never a rear-facing seat in front of an active airbag/);
      expect(told("seat-belts", van)).toMatch(/under 14/);
    }
    // Highway Code, rule 57: a harness on the belt. The belt light takes a dog's weight for a person's.
    for (const van of vans)
      expect(told("pets", van)).toMatch(/a harness clipped to a fastened seat belt\. An open one/);
    // All its seats are in the cab, with an airbag: whoever brings a baby learns it before pick-up.
    expect(told("child-seats", "plover")).toMatch(
      /facing forwards only.*No seat that faces backwards can be used, so no baby can ride in this van\./,
    );
  });
  it("never under a bridge on the off chance: the height rounds up, in feet and inches", () => {
    // 1 inch = 0.0254 m exactly; a vehicle's height is rounded up. 2.85 m = 9 ft 4.2 in, 2.02 m = 6 ft 7.5 in, 1.98 m = 6 ft 6.0 in.
    for (const [van, said] of [
      ["curlew", "2.85 m (9 ft 5 in)"],
      ["wren", "2.02 m (6 ft 8 in)"],
      ["plover", "1.98 m (6 ft 6 in)"],
    ] as const)
      expect(told("van-height", van)).toContain(said);
    // Trade guides: car-park barriers are typically 1.9 to 2.2 m.
    expect(told("van-height", "wren")).toMatch(/1\.9 to 2\.2 m/);
  });
  it("stays off the Queensferry Crossing from gusts of 70 mph", () => {
    // Transport Scotland, wind procedures of the Forth bridges: high-sided vehicles and converted vans.
    for (const van of vans)
      expect(told("wind-driving", van)).toMatch(/Queensferry Crossing .*from gusts of 70 mph/);
  });
});
