/** Questions about wind, height, range, allowance and stopping, answered from the quantities in them. Pure. */

import { fromUnit, inUnit, units } from "../../knowledge/measures/units.js";
import { allowance } from "../allowance.js";
import { feetAndInches, gapCm, leastGapM } from "../height.js";
import { rangeLeft, reserve } from "../range.js";
import { factors, stopping } from "../stopping.js";
import {
  awningDown,
  beaufort,
  beaufortFrom,
  forceName,
  gustFactor,
  type SpeedUnit,
  strongestMph,
} from "../wind.js";
import { levelNow } from "./levels.js";
import { type Quantity, readNumber } from "./quantities.js";
import {
  type Asked,
  ask,
  distance,
  down,
  isTrip,
  kilometres,
  odd,
  of,
  percent,
  type Summed,
  say,
  short,
  up,
  whole,
} from "./say.js";

/** Stronger than any wind that is forecast over land, in m/s: about 225 mph. */
const mostWind = 100;
/** The unit in which a speed was said. */
const speedUnit = (q: Quantity): SpeedUnit =>
  (Object.entries(units.speed).find(([, one]) => one === q.one)?.[0] ?? "m/s") as SpeedUnit;

/** What joins two figures of one wind: "force 2 to 3", "10 mph rising to 20", "20 falling to 10 mph"; a dash is a blank by now. */
const joint =
  /^(?:[\s,/-]|\b(?:to|or|and|but|then|winds?|getting|later|soon|locally|perhaps|maybe|possibly|occasionally|at times|up|down|increas\w+|ris(?:es?|ing)|build\w*|strengthen\w*|pick(?:s|ing)|freshen\w*|becom\w+|go(?:es|ing)|falling|dropping|easing|decreasing)\b)*$/;
const isClock = /^ ?(?::\d|(?:am|pm|o'? ?clock|h)\b)/;

/** The quantities; a figure without a unit has that of the wind to which it is joined. */
function ofOneWind({ text, quantities }: Asked): Quantity[] {
  const all = [...quantities];
  const join = (i: number, to: Quantity | undefined, between: string): void => {
    const q = all[i];
    if (q?.kind !== "bare" || (to?.kind !== "speed" && to?.kind !== "force")) return;
    if (joint.test(between) && !isClock.test(text.slice(q.end)))
      all[i] = { ...q, kind: to.kind, one: to.one, value: q.value * to.one };
  };
  for (let i = 1; i < all.length; i++) join(i, all[i - 1], text.slice(all[i - 1]?.end, all[i]?.at));
  for (let i = all.length - 2; i >= 0; i--) {
    const between = text.slice(all[i]?.end, all[i + 1]?.at);
    // "At 8 10 mph": before the figure with the unit a blank alone joins nothing.
    if (/\w/.test(between)) join(i, all[i + 1], between);
  }
  return all;
}

/** The figures without a unit that "gusting 15 to 20" names, the highest of them. */
function gustSaid({ text, quantities }: Asked, gusts: number): Quantity | undefined {
  const [first, ...more] = quantities.filter((q) => q.at > gusts && q.kind === "bare");
  if (gusts < 0 || !first) return undefined;
  const other = more.find((q) => joint.test(text.slice(first.end, q.at)));
  return other && other.value > first.value && !isClock.test(text.slice(other.end)) ? other : first;
}

/** "is 30 mph wind ok for the awning": any unit, force or gusts, the highest that is said; a mean is judged by the gusts that come with it. */
export function wind(message: Asked): Summed | undefined {
  const asked = { ...message, quantities: ofOneWind(message) };
  const limit = asked.van.figures.awningMaxMph;
  const speeds = of(asked, "speed");
  const forces = of(asked, "force");
  const wrong = [
    ...speeds.filter((q) => q.value < 0 || q.value > mostWind),
    ...forces.filter((q) => q.value > 12),
  ][0];
  if (wrong) return odd(asked, wrong);
  const worst = [...speeds].sort((a, b) => b.value - a.value)[0];
  const force = [...forces].sort((a, b) => b.value - a.value)[0];
  // Of the gust as it is shown, so that the two lines agree.
  const end = (gustMph: number): string =>
    say(asked, awningDown(gustMph, limit) ? "wind-over" : "wind-under", { limit });
  // "20 mph gusting 35": the larger is the gust, in the unit of the other; "gusts of 35 mph": the only one is.
  const gusts = asked.text.search(/\bgust/);
  const bare = gustSaid(asked, gusts);
  // "10 mph now, force 5 later": the stronger of the two.
  const lowest = force ? (beaufortFrom.mph[force.value] ?? 0) : 0;
  if (worst && lowest <= inUnit("speed", worst.value, "mph")) {
    const ms = Math.max(worst.value, (bare?.value ?? 0) * worst.one);
    const mph = inUnit("speed", ms, "mph");
    const unit = speedUnit(worst);
    const other = unit === "knots" ? `${short(inUnit("speed", ms, "knots"))} knots, ` : "";
    const said = `${other}${whole(up(mph, 1))} mph (${whole(up(inUnit("speed", ms, "km/h"), 1))} km/h, ${short(ms)} m/s)`;
    if (gusts >= 0) return { told: [say(asked, "wind-gust", { wind: said }), end(up(mph, 1))] };
    const gust = up(mph * gustFactor, 1);
    return {
      told: [
        say(asked, "wind-mean", {
          wind: said,
          ...beaufort(ms / worst.one, unit),
          gust: whole(gust),
        }),
        end(gust),
      ],
    };
  }
  if (force) {
    if (force.value === 12) return { told: [end(mostWind)] };
    const mph = strongestMph(force.value);
    // "Force 2 with gusts 6".
    const named = bare && bare.value < 12 ? strongestMph(bare.value) : bare ? mostWind : 0;
    const gustMph = up(Math.max(mph * gustFactor, named), 1);
    const gust = whole(gustMph);
    return {
      told: [
        say(asked, "wind-force", { force: force.value, name: forceName(force.value), mph, gust }),
        end(gustMph),
      ],
    };
  }
  const unclear = of(asked, "bare").find((q) => q.value > 0);
  if (unclear) return ask(asked, "wind-ask", { words: { said: unclear.said } });
  return /\btoo (?:windy|much wind|strong)\b|\bwindy enough\b|\bhow (?:windy|much wind)\b/.test(
    asked.text,
  )
    ? ask(asked, "wind-ask-speed")
    : undefined;
}

/** Signs and barriers, in metres: nothing lower is driven under, nothing higher is signed. */
const signs = { least: 1.2, most: 8 };
const onRoof =
  /\b(?:roof ?box|roof ?rack|box on|on (?:the|our) roof|bikes? on (?:the )?roof|kayaks?|canoes?|surf ?boards?|boards? on|ladder)\b/;

const asksToFit =
  /\b(?:fit|clear|get|go|drive|pass|squeeze)\b.{0,20}\b(?:under|through|in|into|below|beneath)\b|\bdo (?:we|i) fit\b/;

/** Where a length is told of the van's own height; and of what is no height, as "a 6 m van" and "200 m ahead". The length itself is a line end. */
const own =
  /(?:\b(?:(?:van|camper\w*|motorhome)(?:'s| is)|we(?:'re| are)) (?:about )?\n ?(?:high|tall)\b|\bour (?:van'?s? )?height (?:is )?(?:about )?\n|\n ?(?:high|tall) (?:van|camper\w*|motorhome)\b)/;
const noHeight =
  /(?:\b(?:(?:van|camper\w*|motorhome)(?:'s| is)|we(?:'re| are)) (?:about )?\n|\b(?:length|width)\b(?:(?!\b(?:height|high|headroom)\b)[^\n\d]){0,20}\n|\n ?(?:(?:long|wide|away|ahead|further)\b|in (?:length|width)|from (?:here|us)|(?:van|camper\w*|motorhome)\b(?! (?:height|limit|max))))/;

/** "will I fit under 2.1 m": the sign, of several the lowest, less the van and what is on it. */
export function height(asked: Asked): Summed | undefined {
  const loaded = onRoof.test(asked.text);
  const all = of(asked, "length").filter((q) => !isTrip(q));
  const is = (words: RegExp) => (q: Quantity) =>
    words.test(`${asked.text.slice(0, q.at)}\n${asked.text.slice(q.end)}`);
  const told = all.find(is(own));
  if (told && told.value > signs.most) return odd(asked, told);
  // Who measured the van higher than the book has it may have more on it.
  const van = Math.max(asked.van.figures.heightM, told?.value ?? 0);
  const lengths = all
    .filter((q) => q !== told && !is(noHeight)(q))
    .sort((a, b) => a.value - b.value);
  // What stands on the roof is said in centimetres or inches, a sign in metres or feet.
  const load = loaded ? lengths.findLast((q) => q.value > 0 && q.value < signs.least) : undefined;
  const sign = lengths.find((q) => q.value >= signs.least) ?? lengths.find((q) => q !== load);
  if (!sign) {
    const bare = of(asked, "bare").find((q) => q.value > 1.2 && q.value <= 25);
    if (!bare && load) return odd(asked, load);
    if (!bare) return asksToFit.test(asked.text) ? ask(asked, "height-ask-sign") : undefined;
    // "2.1" can only be metres, "9" only feet.
    const metres = !Number.isInteger(bare.value) && bare.value < 5 ? bare.value : undefined;
    if (metres === undefined) return ask(asked, "height-ask", { words: { said: bare.said } });
    return height({
      ...asked,
      quantities: asked.quantities.map((q) =>
        q === bare ? { ...q, kind: "length" as const, said: `${q.said} m` } : q,
      ),
    });
  }
  if (sign.value < signs.least || sign.value > signs.most) return odd(asked, sign);
  // Too low for the van alone: what stands on its roof changes nothing.
  if (loaded && !load && gapCm(sign.value, van) >= leastGapM * 100)
    return ask(asked, "height-ask-load", { unit: "cm" });
  const gap = gapCm(sign.value, van, load?.value ?? 0);
  const words = {
    sign: `${down(sign.value, 0.01).toFixed(2)} m`,
    signFeet: feetAndInches(sign.value, false),
    van: `${van.toFixed(2)} m`,
    vanFeet: feetAndInches(van, true),
    gap: Math.abs(gap),
    load: load
      ? say(asked, "height-load", { load: up(load.value * 100, 1) }).replace(/^ ?/, " ")
      : "",
  };
  const verdict = gap < 0 ? "height-no" : gap < leastGapM * 100 ? "height-close" : "height-gap";
  const roof =
    asked.van.has.includes("elevating-roof") && gap >= 0 ? [say(asked, "height-roof")] : [];
  return {
    told: [say(asked, gap < 0 ? "height-over" : "height-is", words), ...roof, say(asked, verdict)],
  };
}

/** "how far on 40 %": down to the reserve; a trip that is named is held against it. */
export function range(asked: Asked): Summed | undefined {
  const electric = asked.van.has.includes("electric-drive");
  const level = levelNow(asked);
  const trip = of(asked, "length").find(isTrip);
  if (level && (level.value < 0 || level.value > 1)) return odd(asked, level);
  if (!level)
    return trip || /\bhow (?:far|many (?:miles|km|kilomet))/.test(asked.text)
      ? ask(asked, "range-ask", { unit: "%" })
      : undefined;
  const km = rangeLeft(level.value, asked.van.figures.rangeKm);
  const words = { level: percent(level.value), keep: percent(reserve) };
  if (km <= 0) return { told: [say(asked, "range-none", words)] };
  const line = say(asked, electric ? "range-ev" : "range-fuel", {
    ...words,
    distance: distance(asked, km, "down"),
    range: distance(asked, asked.van.figures.rangeKm, "down"),
  });
  const compared = trip
    ? [say(asked, kilometres(trip) > km ? "range-short" : "range-enough", { trip: trip.said })]
    : [];
  return { told: [line, ...(electric ? [say(asked, "range-cold")] : []), ...compared] };
}

/** What the allowance is a day: "150 miles a day", or "150 a day" in the region's unit. */
function allowedPerDay(asked: Asked, trips: readonly Quantity[]): Quantity | undefined {
  const daily = (q: Quantity): boolean =>
    /^[^a-z]*(?:[a-z]+ ?)?(?:\b(?:a|per|each|every)|\/) ?day/.test(asked.text.slice(q.at));
  const bare = of(asked, "bare").find(daily);
  const one = fromUnit("length", 1, asked.distanceUnit);
  return (
    trips.find(daily) ??
    (bare && { ...bare, value: bare.value * one, one, said: `${bare.said} ${asked.distanceUnit}` })
  );
}

/** The kilometres driven: as said, a bare figure in the unit of the allowance, else by the odometer, with the day on which it was read. */
function driven(
  asked: Asked,
  trips: readonly Quantity[],
  perDay?: Quantity,
): { km: number; readOn?: string } | undefined {
  const other = trips.find((q) => q !== perDay);
  if (other) return { km: kilometres(other) };
  const { text, pickup, latest } = asked;
  const bare = of(asked, "bare").find(
    (q) =>
      q.at !== perDay?.at &&
      (/\b(?:done|driven|did|drove|covered|used)[^.,;]{0,12}$/.test(text.slice(0, q.at)) ||
        /^ ?(?:done|driven|covered|used|so far)\b/.test(text.slice(q.at + q.said.length))),
  );
  // Nobody drives thousandths: in "1.250 done" the point parts thousands.
  const figure = bare && readNumber(bare.said.replace(/^([1-9]\d{0,2})\.(\d{3})$/, "$1,$2"));
  if (figure !== undefined && perDay) return { km: (figure * perDay.one) / 1000 };
  if (pickup?.odometerKm === undefined || latest?.odometerKm === undefined) return undefined;
  const readOn = asked.readOn?.odometerKm;
  return {
    km: latest.odometerKm - pickup.odometerKm,
    ...(readOn === undefined ? {} : { readOn }),
  };
}

/** Whether words before or after a time make it a part of the hire: "3 days left", "after 2 days". */
const isPart = (before: string, after: string): boolean =>
  /\b(?:after|last|past|first|another)$/.test(before.trimEnd()) ||
  /^ ?(?:are |is )?(?:left|to go|more|remaining|remain|ago|so far)\b/.test(after);

/** "100 miles a day for 8 days, we did 900": what is allowed and what is left. */
export function mileage(asked: Asked): Summed | undefined {
  const trips = of(asked, "length").filter(isTrip);
  const perDay = allowedPerDay(asked, trips);
  const way = driven(asked, trips, perDay);
  const days = of(asked, "time").find(
    (q) => /day|night/.test(q.said) && !isPart(asked.text.slice(0, q.at), asked.text.slice(q.end)),
  )?.value;
  const many = days === undefined ? asked.days : days / 24;
  const wrong = [
    ...trips.filter((q) => q.value <= 0),
    ...(perDay && kilometres(perDay) > 3000 ? [perDay] : []),
  ][0];
  if (wrong) return odd(asked, wrong);
  if (!perDay || many === undefined)
    return trips.length > 0 || /\bhow (?:far|many)\b|\b(?:are we|am i) over\b/.test(asked.text)
      ? ask(asked, "allowance-ask-day", { unit: `${asked.distanceUnit} a day` })
      : undefined;
  const { allowed, left } = allowance(kilometres(perDay), many, way?.km ?? 0);
  const words = {
    perDay: perDay.said,
    days: `${short(many)} days`,
    allowed: distance(asked, allowed),
    driven: distance(asked, way?.km ?? 0),
    left: distance(asked, left, "down"),
    over: distance(asked, -left),
  };
  if (!way)
    return ask(asked, "allowance-ask-driven", {
      told: [say(asked, "allowance-is", words)],
      unit: asked.distanceUnit,
    });
  const day = way.readOn;
  return {
    told: [
      say(asked, left >= 0 ? "allowance-left" : "allowance-over", words),
      ...(day === undefined ? [] : [say(asked, "odometer-read", { day })]),
    ],
  };
}

/** "how long to stop from 60 mph in the wet". */
export function stop(asked: Asked): Summed | undefined {
  if (!/\bstop|\bbrak|\bdistance|\bgap\b/.test(asked.text)) return undefined;
  const speed = of(asked, "speed")[0];
  if (!speed)
    return /\bstopping distance\b|\bhow (?:far|long|many met)\b.*\b(?:stop|brake)/.test(asked.text)
      ? ask(asked, "stopping-ask", { unit: asked.distanceUnit === "km" ? "km/h" : "mph" })
      : undefined;
  const mph = inUnit("speed", speed.value, "mph");
  if (mph <= 0 || mph > 100) return odd(asked, speed);
  const { thinking, braking, metres } = stopping(mph);
  const words = {
    mph: whole(mph),
    kmh: whole(inUnit("speed", speed.value, "km/h")),
    thinking,
    braking,
  };
  return {
    told: [
      say(asked, "stopping-dry", { ...words, metres }),
      ...(/\bwet\b|\brain/.test(asked.text)
        ? [say(asked, "stopping-wet", { metres: metres * factors.wet })]
        : []),
      ...(/\bice\b|\bicy\b|\bsnow/.test(asked.text)
        ? [say(asked, "stopping-ice", { metres: metres * factors.ice })]
        : []),
    ],
  };
}
