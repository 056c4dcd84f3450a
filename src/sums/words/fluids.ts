/** Questions about exhaust fluid, fuel, charge, oil and tyre air, answered from the quantities in them. Pure. */

import { fromUnit, inUnit } from "../../knowledge/measures/units.js";
import { fluidRange, fluidUsed, owed } from "../fluid.js";
import { muchOil, oilPer1000Km } from "../oil.js";
import { compare } from "../pressure.js";
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

/** The level now and at pick-up: as said ("now half, full at pick-up"), else from the readings. */
function levels(asked: Asked, tank: "fluid" | "fuel"): { now?: number; then?: number } {
  const shares = of(asked, "share");
  const marked =
    shares.find(
      (q) =>
        /\b(?:at|on|was|were|had|got it|collected|picked?[ -]?up|start)\b[^.,;]{0,12}$/.test(
          asked.text.slice(0, q.at),
        ) &&
        /pick|start|collect|got it|was|were|had/.test(
          asked.text.slice(Math.max(0, q.at - 24), q.at),
        ),
    ) ??
    shares.find((q) =>
      /^[^.,;]{0,14}\b(?:at|on|when) (?:pick|the start|start|we (?:got|collected|picked))/.test(
        asked.text.slice(q.at + q.said.length),
      ),
    );
  const now = shares.find((q) => q !== marked)?.value ?? asked.latest?.[tank];
  const then =
    marked?.value ??
    (shares.length > 1 ? shares.find((q) => q.value !== now)?.value : undefined) ??
    asked.pickup?.[tank];
  return { ...(now === undefined ? {} : { now }), ...(then === undefined ? {} : { then }) };
}
const badShare = (asked: Asked) => of(asked, "share").find((q) => q.value < 0 || q.value > 1);
const asksOwed =
  /\b(?:owe|owed|bring (?:it )?back|give back|put back|return|top ?up|fill (?:it )?(?:up|back)|add|need to (?:buy|put))\b/;

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
  const { now, then } = levels(asked, "fluid");
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
    return { told: [say(asked, then > now ? "fluid-owed" : "fluid-same", words)] };
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
  const { now, then } = levels(asked, "fuel");
  if (now === undefined || then === undefined)
    return of(asked, "share").length > 0 ||
      /\bhow (?:much|many) (?:diesel|fuel|litres?|kwh|charge|do (?:we|i) (?:need|owe|have))\b/.test(
        asked.text,
      )
      ? ask(asked, "fuel-ask")
      : undefined;
  const words = { now: percent(now), then: percent(then) };
  if (then <= now) return { told: [say(asked, "fuel-same", words)] };
  if (driveKWh !== undefined)
    return {
      told: [
        say(asked, "fuel-charge", {
          ...words,
          kwh: up(owed(now, then, driveKWh), 1),
          battery: driveKWh,
        }),
      ],
    };
  if (tankL === undefined) return undefined;
  return {
    told: [
      say(asked, "fuel-owed", {
        ...words,
        litres: litres(up(owed(now, then, tankL), 1)),
        tank: tankL,
      }),
    ],
  };
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

/** A figure without a unit: "44" can only be psi, "2.9" only bar. */
function bareAir(asked: Asked): Quantity | undefined {
  const bare = of(asked, "bare").find(
    (q) =>
      (q.value >= 20 && q.value <= 90) ||
      (q.value >= 1.5 && q.value <= 6.5 && !Number.isInteger(q.value)),
  );
  if (!bare) return undefined;
  const unit = bare.value >= 20 ? "psi" : "bar";
  return {
    ...bare,
    kind: "pressure",
    value: fromUnit("pressure", bare.value, unit),
    said: `${bare.said} ${unit}`,
  };
}

/** "front is at 40 psi": in the other unit, and against the van's cold figures. */
export function tyreAir(asked: Asked): Summed | undefined {
  const measured = of(asked, "pressure")[0] ?? bareAir(asked);
  if (!measured) return undefined;
  const bar = measured.value;
  if (bar < 0 || bar > 8) return odd(asked, measured);
  const psi = (b: number): string => short(inUnit("pressure", b, "psi"), 0);
  const { tyreFrontBar, tyreRearBar } = asked.van.figures;
  const front = /\bfront\b/.test(asked.text);
  const rear = /\brear\b|\bback\b/.test(asked.text);
  const axles: [string, number][] = [
    ...(front || !rear ? [[say(asked, "pressure-front"), tyreFrontBar] as [string, number]] : []),
    ...(rear || !front ? [[say(asked, "pressure-rear"), tyreRearBar] as [string, number]] : []),
  ];
  // "How much is 2.9 bar in psi" measures no tyre.
  const converts = /\b(?:convert|in(?:to)?|to) (?:psi|bars?|kpa)\b/.test(asked.text);
  const measuredIt =
    !converts &&
    /\b(?:is|are|at|reads?|shows?|says?|only|ok|enough|good|right|fine|low|high|has|have|measured|just)\b/.test(
      asked.text,
    );
  const verdicts = axles.map(([axle, figure]) => {
    const { is, byBar } = compare(bar, figure);
    return say(asked, `pressure-${is}`, { axle, psi: psi(byBar), bar: short(byBar, 2) });
  });
  return {
    told: [
      say(asked, "pressure-is", { bar: short(bar, 2), psi: psi(bar) }),
      say(asked, "pressure-figures"),
      ...(measuredIt ? verdicts : []),
    ],
  };
}
