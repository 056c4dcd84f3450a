/** Gas, carbon monoxide, mains, food, water and first aid against standards, fire services and government advice. */
import { describe, expect, it } from "vitest";
import { book, nations, outOfOrder, sources, told, vans, vansOf } from "./told.js";

const figure = (text: string) => Number(text.replace(/,/g, ""));

describe("the portable stove", () => {
  it("takes EN 417 cartridges and no other, kept under 50 °C", () => {
    // EN 417:2012, scope: non-refillable metal cartridges, up to 13.2 bar at 50 °C; appliances to EN 521.
    for (const van of vansOf("stove-cartridge")) {
      const text = told("stove-cartridge", van);
      expect(text).toMatch(/EN 417 on the label/);
      expect(text).toMatch(/Never pierce, heat or burn one, nor try to fill it/);
      expect(text).toMatch(/under 50 °C/);
      expect(told("gas-empty", van)).toContain("EN 417");
    }
  });
  it("is for outdoors only, and its cartridge is changed outdoors with no flame near", () => {
    // UK Government and fire and rescue services: no gas appliance in tents or awnings, none for warmth.
    for (const van of vansOf("stove-cartridge")) {
      expect(told("stove-light", van)).toMatch(/Outdoors only\./);
      expect(told("stove-light", van)).toMatch(/Never in the van, a tent or an awning/);
      expect(told("cook-inside", van)).toMatch(/^.*\nNo\. The portable stove is for outdoors only/);
      expect(told("cook-inside", van)).toMatch(/Never use it for warmth/);
      expect(told("stove-cartridge", van)).toMatch(/1\. Outdoors, no flame near/);
    }
  });
  it("burns badly near freezing on butane, which boils at −0.5 °C", () => {
    // LPG property tables: n-butane −0.5 °C, propane −42 °C.
    for (const van of vansOf("stove-cartridge"))
      expect(told("gas-empty", van)).toMatch(/Near 0 °C butane hardly burns\. Ask for a mix with/);
  });
});

describe("a smell of gas", () => {
  it("means out, nothing switched or lit, no phone inside, the number from outside, in the first line", () => {
    // UK gas-safety guidance.
    for (const nation of nations)
      for (const van of vans)
        expect(told("gas-leak", van, nation).split("\n")[0]).toMatch(
          /Everyone out now\. Touch no switch, light nothing, use no phone inside\. Ring (999|112).* from outside/,
        );
  });
  it("goes on with doors open, the bottle shut only from outside, and no gas until it was checked", () => {
    // UK gas-safety guidance; LPG property tables: vapour is 1.5 to 2 times as heavy as air.
    for (const van of vans) {
      const text = told("gas-leak", van);
      expect(
        outOfOrder(text, [
          /Leave the doors open behind you\. Gas is heavier than air and lies on the floor/,
          /Turn the bottle off at its valve only if you can reach it from outside/,
          /Keep the gas off until a gas engineer has looked/,
        ]),
      ).toEqual([]);
      expect(text).toMatch(/Never look for the leak with a flame/);
    }
  });
});

describe("gas that does not light", () => {
  it("is let out ten seconds at most, then off and aired for a minute before the next try", () => {
    // Common practice, no source: it is heavier than air, gathers low and goes off at the next spark.
    for (const id of ["stove-light", "grill"])
      for (const van of vansOf("grill")) {
        const text = told(id, van);
        expect(text, id).toMatch(/ten seconds.*off.*wait a minute.*window and vent open/i);
        expect(text, id).not.toMatch(/half a minute/);
      }
  });
});

describe("carbon monoxide", () => {
  it("is known by its signs: headache, sickness, dizziness, confusion, sleepiness", () => {
    // UK Government (2014) and fire services: headache, dizziness, nausea, tiredness, confusion; then collapse.
    for (const van of vans) {
      const text = told("carbon-monoxide", van);
      for (const sign of [/headache/i, /sickness/, /dizziness/, /confusion/, /sleepiness/])
        expect(text).toMatch(sign);
    }
  });
  it("means outside first, source off only on the way, everyone seen by a doctor, nobody back in", () => {
    for (const nation of nations) {
      const text = told("carbon-monoxide", "curlew", nation);
      expect(text.split("\n")[0]).toMatch(/^Everyone out into fresh air now.*(999|112)/);
      expect(text).toMatch(
        /Switch off the stove, heater or engine only if you can do it on the way/,
      );
      expect(text).toMatch(/must be seen by a doctor/);
      expect(text).toMatch(/even if the alarm falls silent/);
    }
  });
  it("is feared at any alarm: no sound is told apart from danger by waiting, since EN 50291 already waits", () => {
    // EN 50291-1:2018: no alarm within 120 min at 30 ppm; 60–90 min at 50; 10–40 min at 100; within 3 min at 300.
    for (const van of vansOf("co-alarm")) {
      const text = told("co-alarm", van);
      expect(text).toMatch(
        /^.*\nLoud beeps again and again mean carbon monoxide: everyone out at once/,
      );
      expect(text).toMatch(/Not sure which sound it is\? Treat it as carbon monoxide/);
      expect(text).toMatch(/even with no alarm: out/);
      expect(text).toMatch(/chirp a minute: weak battery/);
      expect(text).not.toMatch(/ppm|wait and see|after \d+ minutes/);
    }
    expect(sources("co-alarm")).toMatch(/EN 50291 \(alarm sounds within 3 minutes at 300 ppm\)/);
  });
  it("is taken for granted at an unknown beep: out and the number come before any question or rule of the road", () => {
    for (const van of vansOf("unknown-beep")) {
      const [, first = ""] = told("unknown-beep", van).split("\n");
      expect(first).toMatch(/treat it as carbon monoxide: everyone out, doors open\..*999 or 112/);
    }
  });
  it("comes from cooling barbecues for hours: never in van, tent or awning", () => {
    // UK Government; fire and rescue services; a council that names camper vans.
    for (const van of vans)
      expect(told("barbecue", van)).toMatch(
        /Never bring a lit, warm or cooling barbecue into van, tent or awning.*for hours/,
      );
  });
  it("is kept out by vents that nobody blocks, in any season", () => {
    // Two vehicle makers' handbooks; EN 721.
    for (const van of vans) {
      expect(told("ventilation", van)).toMatch(/Never block the vents, not even on a cold night/);
      expect(told("ventilation", van)).toMatch(/No stove, hob or barbecue for warmth/);
    }
  });
  it("is thought of before a heater runs at night: low, alarm tested, vents free, the handbook above us", () => {
    // UK Government and fire services: carbon monoxide; makers' handbooks have the last word.
    for (const van of vansOf("heater-overnight")) {
      const text = told("heater-overnight", van);
      expect(text).toMatch(
        /^.*\nOnly on low,.*only when each of these is done\..*handbook says no\?/,
      );
      expect(text).toMatch(/Test the (carbon-monoxide|smoke) alarm.*Silent\? Heater off/);
      expect(text).toMatch(/Leave the vents free/);
      expect(text).not.toMatch(/you (may|can) (safely )?leave/i);
    }
  });
});

describe("site mains", () => {
  it("comes from a blue socket, which is 200 to 250 V", () => {
    // IEC 60309-2: blue 200–250 V; site posts and vans are 16 A, 230 V (BS 7671, sections 708 and 721).
    for (const van of vans) {
      expect(told("hook-up", van)).toMatch(/blue socket of the post/);
      expect(told("hook-up", van)).toMatch(
        /Only into a blue socket\. No house socket, no adapter, no second cable/,
      );
      expect(told("hook-up", van)).toMatch(/Before you drive, look that it is off/);
      expect(book.vans.get(van)?.figures.hookUpA).toBe(16);
    }
    expect(sources("hook-up")).toMatch(/IEC 60309-2: blue is 200 to 250 V/);
  });
  it("is connected with the van's switch off: uncoil, van, post, switch on, test; and taken off the other way", () => {
    // BS 7671 section 721, instruction notice; handbooks: the post end out first, so that no loose end is live.
    for (const van of vans)
      expect(
        outOfOrder(told("hook-up", van), [
          /Uncoil all of it/,
          /Breakers down \(off\)/,
          /Plug into the van/,
          /Then into a blue socket of the post/,
          /Breakers up \(on\)/,
          /Press the test button/,
          /Leaving: breakers down, unplug at the post, then at the van/,
        ]),
      ).toEqual([]);
  });
  it("has its own 30 mA residual current device and breaker at each pitch, so a dead one may be the post's", () => {
    // BS 7671 section 708 (708.415.1, 30 mA; read in excerpt).
    expect(sources("hook-up-dead")).toMatch(/section 708.*30 mA/);
    for (const van of vans) {
      expect(told("hook-up-dead", van)).toMatch(/The post's breaker down\?/);
      expect(told("hook-up-dead", van)).toMatch(/One reset only/);
    }
  });
  it("gives 1,380, 2,300 and 3,680 W at 6, 10 and 16 A of 230 V, and no advised load passes it", () => {
    for (const van of vans) {
      const text = told("what-can-i-run", van);
      for (const amps of [6, 10, 16])
        expect(text).toContain(`${amps} A: ${(amps * 230).toLocaleString("en-GB")} W`);
    }
    const own = (van: string) =>
      figure(
        /takes? up to ([\d,]+) W for|van up to ([\d,]+) W/.exec(told("what-can-i-run", van))?.[1] ??
          "",
      );
    // Wren and Curlew: one thing of up to 800 W on 6 A, 1,500 W on 10 A, 2,000 and 1,000 W together on 16 A, with the van's own.
    for (const van of ["wren", "curlew"]) {
      const text = told("what-can-i-run", van);
      const one = (amps: number) =>
        figure(new RegExp(`${amps} A: .*ne thing of up to ([\\d,]+) W`).exec(text)?.[1] ?? "none");
      const [, kettle = "", heater = ""] =
        /A ([\d,]+) W kettle and a ([\d,]+) W heater together/.exec(text) ?? [];
      expect(own(van) + one(6)).toBeLessThanOrEqual(6 * 230);
      expect(own(van) + one(10)).toBeLessThanOrEqual(10 * 230);
      expect(own(van) + figure(kettle) + figure(heater)).toBeLessThanOrEqual(16 * 230);
    }
    // Plover: hob 1,800 W, heater 1,500 W, charger 350 W.
    const text = told("what-can-i-run", "plover");
    const [, hob = "", heater = "", charger = ""] =
      /hob takes up to ([\d,]+) W, the heater ([\d,]+) W, and the van up to ([\d,]+) W/.exec(
        text,
      ) ?? [];
    const [h, w, c] = [hob, heater, charger].map(figure) as [number, number, number];
    expect(h + w + c).toBeLessThanOrEqual(16 * 230);
    expect(h + c).toBeLessThanOrEqual(10 * 230);
    expect(w + c).toBeLessThanOrEqual(10 * 230);
    expect(h + w + c).toBeGreaterThan(10 * 230);
    expect(w + c).toBeGreaterThan(6 * 230);
    expect(text).toMatch(/6 A: 1,380 W\..*The heater is too much for it/);
    expect(text).toMatch(/10 A: 2,300 W\. Hob or heater, not both/);
  });
  it("makes a coiled lead hot: it is uncoiled, and reels are not used", () => {
    // BS 7671 section 721 notice; Royal Society for the Prevention of Accidents on extension leads.
    for (const van of vans) {
      expect(told("hook-up", van)).toMatch(/coiled, it gets hot/);
      expect(told("what-can-i-run", van)).toMatch(/No reels/);
    }
  });
  it("keeps hands off someone under power until it is off", () => {
    // DESIGN, triage; Highway Code Annex 7 for the burn.
    expect(told("electric-shock", "wren").split("\n")[0]).toMatch(
      /^Do not touch them until the power is off/,
    );
    for (const van of vans) {
      const text = told("electric-shock", van);
      expect(text).toMatch(/an inverter is on\? Switch it off/);
      // Between a live step and wet ground lies the voltage; inside all is at one. Common practice.
      expect(text).toMatch(/Who is inside stays in and touches no metal until the post is off/);
      expect(text).not.toMatch(/get off it/);
    }
  });
});

describe("the living battery", () => {
  it("has the volts at rest of published charts, 0.1 V up for AGM, within their 15 %", () => {
    // Flooded lead-acid at rest: 12.65 full, 12.4 at 75 %, 12.2 at 50 %, 12.0 at 25 %; AGM about 0.1 V higher (from memory).
    for (const van of ["wren", "curlew"]) {
      const text = told("battery-level", van);
      const volts = [
        /([\d.]+) V: full/,
        /([\d.]+) V: about three q/,
        /([\d.]+) V: half/,
        /([\d.]+) V or less: nearly/,
      ];
      const chart = [12.65, 12.4, 12.2, 12.0];
      for (const [i, pattern] of volts.entries())
        expect(Math.abs(Number(pattern.exec(text)?.[1]) - (chart[i] ?? 0) - 0.1)).toBeLessThan(
          0.08,
        );
    }
  });
  it("goes by per cent where it is lithium iron phosphate, whose volts hardly move", () => {
    // Battery guides: nearly flat from 90 to 20 %.
    expect(book.vans.get("plover")?.figures.leisureChemistry).toBe("LiFePO4");
    expect(told("battery-level", "plover")).toMatch(/Go by the per cent, not by volts/);
  });
});

describe("food and water", () => {
  it("stay at 5 °C or less in the fridge", () => {
    // UK Food Standards Agency; council food-safety guide: 0 to 5 °C.
    for (const van of vans) expect(told("fridge-on", van)).toMatch(/at 5 °C or less/);
  });
  it("cool in an absorption fridge only when the van is level", () => {
    // Technical columns on absorption fridges: level when parked.
    for (const van of vansOf("fridge-modes")) expect(told("fridge-on", van)).toMatch(/Park level/);
  });
  it("waste goes to its own drain points, never to ground, water or street drain", () => {
    // NetRegs (Scotland, Northern Ireland); Water Resources Act and Environmental Permitting (England, Wales), from memory.
    for (const van of vansOf("waste-water"))
      expect(told("waste-water", van)).toMatch(
        /Never onto the ground, into a street drain or water/,
      );
    for (const van of vansOf("toilet-empty"))
      expect(told("toilet-empty", van)).toMatch(
        /Never into the ground, water, street drains or a septic tank/,
      );
  });
});

describe("first aid", () => {
  it("cools a burn for at least 20 minutes wherever burns are told", () => {
    // Highway Code, Annex 7. Older texts say 10.
    for (const id of ["medical", "electric-shock", "first-aid", "fire-blanket"]) {
      const cooled = [...told(id, "wren").matchAll(/(?:water|Cool|cool).*?(\d+) minutes/g)];
      expect(
        cooled.map(([, minutes]) => Number(minutes)),
        id,
      ).toEqual([20]);
    }
    expect(told("medical", "wren")).toMatch(/at least 20 minutes, then cling film/);
  });
  it("pushes a chest 5 to 6 cm deep, about twice a second", () => {
    // Highway Code, Annex 7.
    expect(told("unconscious", "wren")).toMatch(/push 5 to 6 cm deep, about twice a second/);
    // A child's or a baby's by a third of its depth: from memory, resuscitation guidelines.
    expect(told("unconscious", "wren")).toMatch(/Child or baby: a third of the chest/);
  });
  it("leaves the bonnet shut and fights no engine fire", () => {
    // Highway Code, Annex 6.
    for (const id of ["fire", "smoke-in-van"])
      expect(told(id, "wren"), id).toMatch(/Never open the bonnet/);
    expect(told("fire-extinguisher", "wren")).toMatch(/with the way out behind you/);
  });
});
