/** Questions about exhaust fluid, fuel, charge, oil and tyre air, answered from the quantities in them. Pure. */

import { fromUnit, inUnit } from "../../knowledge/measures/units.js";
import { fluidRange, fluidUsed, owed } from "../fluid.js";
import { muchOil, oilPer1000Km } from "../oil.js";
import { compare } from "../pressure.js";
import { levels } from "./levels.js";
import type { Quantity } from "./quantities.js";
import {
  type Asked,
  ask,
  distance,
  isTrip,
  kilometres,
  litres,
  odd,
  of,
  percent,
  type Summed,
  say,
  short,
  up,
} from "./say.js";

const badShare = (asked: Asked) => of(asked, "share").find((q) => q.value < 0 || q.value > 1);
const asksOwed =
  /\b(?:owe|owed|bring (?:it )?back|give back|put back|return|top ?up|fill (?:it )?(?:up|back)|add|need to (?:buy|put))\b/;

/** Whose reading it is, where the level now was not said. */
const readNote = (asked: Asked, day: string | undefined): string[] =>
  day === undefined ? [] : [say(asked, "level-read", { day })];

/** "how much blue stuff after 900 miles": used over a distance, left at a level, owed at return. */
export function exhaustFluid(asked: Asked): Summed | undefined {
  const { exhaustFluidTankL: tank, exhaustFluidLPer1000Km: rate } = asked.van.figures;
  if (tank === undefined || rate === undefined) return undefined;
  const wrong = badShare(asked);
  if (wrong) return odd(asked, wrong);
  const trip = of(asked, "length").find(isTrip);
  if (trip && (trip.value <= 0 || kilometres(trip) > 50_000)) return odd(asked, trip);
  if (trip) {
    const used = fluidUsed(kilometres(trip), rate);
    const words = { litres: litres(used), distance: trip.said, rate: short(rate), tank };
    return {
      told: [say(asked, "fluid-used", words), ...(used > tank ? [say(asked, "fluid-tanks")] : [])],
    };
  }
  const { now, then, readOn, unclear } = levels(asked, "fluid");
  if (unclear) return ask(asked, "fuel-ask");
  if (
    now !== undefined &&
    then !== undefined &&
    (asksOwed.test(asked.text) || of(asked, "share").length > 1)
  ) {
    const words = {
      now: percent(now),
      then: percent(then),
      litres: litres(owed(now, then, tank)),
      tank,
    };
    const line = say(asked, then > now ? "fluid-owed" : "fluid-same", words);
    return { told: [line, ...readNote(asked, readOn)] };
  }
  const howMuch = asksOwed.test(asked.text) && /\bhow (?:much|many|far)\b/.test(asked.text);
  // What is owed stands on the level of pick-up.
  if (howMuch && now !== undefined) return ask(asked, "fluid-ask-pickup", { unit: "%" });
  if (of(asked, "share").length > 0 && now !== undefined) {
    const words = {
      level: percent(now),
      litres: `${short(now * tank)} litres`,
      tank,
      distance: distance(asked, fluidRange(now, tank, rate), "down"),
    };
    return { told: [say(asked, "fluid-left", words)] };
  }
  return howMuch ? ask(asked, "fluid-ask", { unit: asked.distanceUnit }) : undefined;
}

/** "it was full and is at half now, how much diesel": litres or kilowatt-hours up to the level of pick-up. */
export function fuelBack(asked: Asked): Summed | undefined {
  const wrong = badShare(asked);
  if (wrong) return odd(asked, wrong);
  const { tankL, driveKWh } = asked.van.figures;
  const { now, then, readOn } = levels(asked, "fuel");
  if (now === undefined || then === undefined) {
    const asks =
      of(asked, "share").length > 0 ||
      /\bhow (?:much|many) (?:diesel|fuel|litres?|kwh|charge|do (?:we|i) (?:need|owe|have))\b/.test(
        asked.text,
      );
    if (!asks) return undefined;
    return then === undefined ? ask(asked, "fuel-ask") : ask(asked, "fuel-ask-now", { unit: "%" });
  }
  const words = { now: percent(now), then: percent(then) };
  const told = (line: string): Summed => ({ told: [line, ...readNote(asked, readOn)] });
  if (then <= now) return told(say(asked, "fuel-same", words));
  if (driveKWh !== undefined)
    return told(
      say(asked, "fuel-charge", {
        ...words,
        kwh: up(owed(now, then, driveKWh), 1),
        battery: driveKWh,
      }),
    );
  if (tankL === undefined) return undefined;
  return told(
    say(asked, "fuel-owed", {
      ...words,
      litres: litres(up(owed(now, then, tankL), 1)),
      tank: tankL,
    }),
  );
}

/** "used half a litre of oil in 800 km". */
export function oilUse(asked: Asked): Summed | undefined {
  const volume = of(asked, "volume")[0];
  const trip = of(asked, "length").find(isTrip);
  if (volume && (volume.value <= 0 || volume.value > 10)) return odd(asked, volume);
  if (trip && (trip.value <= 0 || kilometres(trip) > 50_000)) return odd(asked, trip);
  if (!volume || !trip)
    return volume && /\b(?:used|burn\w*|lost|went in|consum\w*)\b/.test(asked.text)
      ? ask(asked, "oil-ask")
      : undefined;
  const rate = oilPer1000Km(volume.value, kilometres(trip));
  return {
    told: [
      say(asked, "oil-rate", { litres: volume.said, distance: trip.said, rate: short(rate, 2) }),
      say(asked, rate > muchOil ? "oil-much" : "oil-usual"),
    ],
  };
}

/** The figures of tyre air, in order. Of those without a unit "44" can only be psi, "2.9" only bar. */
function airSaid(asked: Asked): Quantity[] {
  return asked.quantities.flatMap((q) => {
    if (q.kind === "pressure") return [q];
    if (q.kind !== "bare") return [];
    const unit =
      q.value >= 20 && q.value <= 90
        ? "psi"
        : q.value >= 1.5 && q.value <= 6.5 && !Number.isInteger(q.value)
          ? "bar"
          : undefined;
    const other = /^ ?(?:°|deg|[cf]\b)/.test(asked.text.slice(q.at + q.said.length));
    if (!unit || other) return [];
    const value = fromUnit("pressure", q.value, unit);
    return [{ ...q, kind: "pressure", value, said: `${q.said} ${unit}` }];
  });
}
type Axle = "front" | "rear";

/** The axles that a text names, in order. */
const axlesIn = (text: string): Axle[] =>
  [...text.matchAll(/\b(?:(fronts?)|rears?|backs?)\b/g)].map(([, front]) =>
    front ? "front" : "rear",
  );

/**
 * Each figure with the axles that it is held against. Of one figure: those named, else both. Of more: the one that
 * is named, or each its own where as many are named as there are figures; else none.
 */
function byAxle(asked: Asked, air: readonly Quantity[]): [Quantity, Axle[]][] {
  const named = axlesIn(asked.text);
  const axles = [...new Set(named)];
  const all: Axle[] = axles.length > 0 ? axles.sort() : ["front", "rear"];
  return air.map((q, i) => {
    if (air.length === 1) return [q, all];
    if (axles.length === 1) return [q, axles];
    return [q, named.length === air.length ? named.slice(i, i + 1) : []];
  });
}

/** "front is at 40 psi": in the other unit, and against the van's cold figures. */
export function tyreAir(asked: Asked): Summed | undefined {
  const all = airSaid(asked);
  // Without any unit, figures that are not told of an axle each may be of something else.
  const sure = of(asked, "pressure").length > 0 || axlesIn(asked.text).length === all.length;
  const air = sure ? all : all.slice(0, 1);
  if (air.length === 0) return undefined;
  const wrong = air.find(({ value }) => value < 0 || value > 8);
  if (wrong) return odd(asked, wrong);
  const psi = (b: number): string => short(inUnit("pressure", b, "psi"), 0);
  const { tyreFrontBar, tyreRearBar } = asked.van.figures;
  const figures = { front: tyreFrontBar, rear: tyreRearBar };
  const names = { front: "pressure-front", rear: "pressure-rear" };
  // "How much is 2.9 bar in psi" measures no tyre.
  const converts = /\b(?:convert|in(?:to)?|to) (?:psi|bars?|kpa)\b/.test(asked.text);
  const measuredIt =
    !converts &&
    /\b(?:is|are|at|reads?|shows?|says?|only|ok|enough|good|right|fine|low|high|has|have|measured|just)\b/.test(
      asked.text,
    );
  const verdicts = byAxle(asked, air).flatMap(([{ value }, axles]) =>
    axles.map((axle) => {
      const { is, byBar } = compare(value, figures[axle]);
      const words = { axle: say(asked, names[axle]), psi: psi(byBar), bar: short(byBar, 2) };
      return say(asked, `pressure-${is}`, words);
    }),
  );
  return {
    told: [
      ...air.map(({ value }) =>
        say(asked, "pressure-is", { bar: short(value, 2), psi: psi(value) }),
      ),
      say(asked, "pressure-figures"),
      ...(measuredIt ? verdicts : []),
    ],
  };
}
