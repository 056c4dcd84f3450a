/** Questions about watts, batteries and gas, answered from the quantities in them. Pure. */
import { digits } from "../../knowledge/measures/numerals.js";
import { batteryHours, batteryVolts, chemistries, inverterLoss } from "../battery.js";
import { burnerKw, gasHours, kwhPerKg } from "../gas.js";
import { ampsFor, postFor, supplyWatts } from "../supply.js";
import { levelNow } from "./levels.js";
import type { Quantity } from "./quantities.js";
import { type Asked, ask, hours, odd, of, percent, type Summed, say, short, whole } from "./say.js";

/** `many`: how many of it are said; `at` and `end`: where it stands in the text. */
type Thing = {
  name: string;
  watts: number;
  mean?: number | undefined;
  mains: boolean;
  many: number;
  at: number;
  end: number;
};

/** A count of appliances; more is none of a van. */
const isCount = (n: number): boolean => Number.isInteger(n) && n >= 2 && n <= 20;

/** How many a text says beside a power or a thing: "2 x", "two", "both"; "x 2" after it; else one. */
function many({ text, quantities }: Asked, at: number, end: number): number {
  const after = Number(/^ ?(?:x|×) ?(\d{1,2})\b/.exec(text.slice(end))?.[1]);
  if (isCount(after)) return after;
  const bare = quantities.findLast((q) => q.kind === "bare" && q.end <= at);
  const between = /^ ?(?:x|×|times|of|led|electric|small|big)? ?$/;
  if (bare && isCount(bare.value) && between.test(text.slice(bare.end, at))) return bare.value;
  // "Two 500 W" stays a word, or it would be 2,500.
  const word = /\b([a-z]+) (?:of )?$/.exec(text.slice(0, at))?.[1] ?? "";
  const n = /^(?:both|couple|pair)$/.test(word) ? 2 : Number(digits(word));
  return isCount(n) ? n : 1;
}

/** The appliances that a text names, each once, the longer name first ("travel kettle" before "kettle"). */
function things(asked: Asked): Thing[] {
  let rest = ` ${asked.text} `;
  const found: Thing[] = [];
  const names = Object.entries(asked.sums.appliances).flatMap(([name, a]) =>
    a.words.map((word) => ({ name, word, ...a })),
  );
  for (const { name, word, watts, mean, mains } of names.sort(
    (a, b) => b.word.length - a.word.length,
  )) {
    const match = new RegExp(`[^a-z]${word}s?(?![a-z])`).exec(rest);
    if (!match) continue;
    const [at, length] = [match.index, match[0].length];
    rest = rest.slice(0, at) + " ".repeat(length) + rest.slice(at + length);
    const end = at + length - 1;
    if (!found.some((t) => t.name === name))
      found.push({ name, watts, mean, mains, many: many(asked, at, end), at, end });
  }
  return found;
}

/** Between a thing and its power: "lights of 4 W", "the kettle (1,000 W)"; between a power and its thing: "2 kW electric heater". */
const itsPower =
  /^ ?(?:[(,:=]|\b(?:of|at|with|is|are|says?|takes?|uses?|draws?|needs?|has|have|which|that|it|each|about|around|rated)\b|\s)*$/;
const itsThing = /^ ?(?:(?!(?:and|plus|with|or|on|the|an?)\b)[a-z]+ ){0,2}$/;
const inAll = /^ ?(?:in (?:total|all)|together|altogether)\b/;

/**
 * What is to be run: the watts that are said, each as often as it is said, and the things that none of them is of,
 * at their usual watts. Powers beside no thing are of those that take least.
 */
function loads(asked: Asked, named: readonly Thing[]): { said: number; usual: Thing[] } {
  const { text } = asked;
  const left = new Set(named);
  let apart = 0;
  const said = of(asked, "power").map((q) => {
    const after = [...left].find((t) => t.at >= q.end && itsThing.test(text.slice(q.end, t.at)));
    const before = [...left].find((t) => t.end <= q.at && itsPower.test(text.slice(t.end, q.at)));
    const thing = after ?? before;
    if (thing) left.delete(thing);
    else apart++;
    const times = many(asked, q.at, (after ?? q).end);
    return q.value * (inAll.test(text.slice(q.end)) ? 1 : Math.max(times, thing?.many ?? 1));
  });
  const least = [...left].sort((a, b) => a.watts - b.watts).slice(0, apart);
  return {
    said: said.reduce((sum, watts) => sum + watts, 0),
    usual: [...left].filter((t) => !least.includes(t)),
  };
}

/** The usual watts of a thing, in the mean over a day where that is asked; what runs on 12 V is said of all of its kind. */
const usualWatts = (t: Thing, over: "at-most" | "a-day"): number =>
  (over === "a-day" ? (t.mean ?? t.watts) : t.watts) * (t.mains ? t.many : 1);

/** More watts than any appliance in a van, and more amps than any post on a pitch: a slip of unit. */
const mostWatts = 20_000;
const mostAmps = 63;

const ofPost =
  /^ ?(?:[a-z]+ )?(?:posts?|hook|ehu|pitch|(?:camp ?)?sites?|supply|sockets?|outlet|breaker|bollard|electric(?:s|ity)?\b(?! [a-z])|connection|inlet|limit)\b/;
const draws =
  /\b(?:draws?|drawing|takes?|taking|uses?|using|needs?|pulls?|(?:is )?rated(?: at| for)?)(?: (?:about|around|only|up to|some))?$/;

/**
 * What the amps that are said belong to: those of an appliance become its watts, those of a plug or its fuse count
 * for nothing, the others are the post's. `unclear`: they stand beside a thing, and no others are the post's.
 */
function ampsApart(asked: Asked, named: readonly Thing[]): { asked: Asked; unclear: boolean } {
  const { text } = asked;
  const beside = (q: Quantity): "sure" | "perhaps" | undefined => {
    const [before, after] = [text.slice(0, q.at).trimEnd(), text.slice(q.end)];
    if (ofPost.test(after)) return undefined;
    if (draws.test(before)) return "sure";
    const its = (words: RegExp, from: number, to: number) =>
      from <= to && words.test(text.slice(from, to));
    if (named.some((t) => its(/^ (?:is|are|of)(?: (?:about|around))? $/, t.end, q.at)))
      return "sure";
    if (!named.some((t) => its(itsThing, q.end, t.at))) return undefined;
    return /(?<!\b(?:on|at|with)) (?:an?|my|our|the|this)$/.test(` ${before}`) ? "sure" : "perhaps";
  };
  const follows = (q: Quantity, words: RegExp) => words.test(text.slice(q.end));
  const amps = of(asked, "current").filter((q) => !follows(q, /^ ?plug/));
  const loads = amps.filter((q) => beside(q) !== undefined);
  const others = amps.filter((q) => !loads.includes(q));
  // The fuse of a pitch limits; beside other amps it is a plug's.
  const posts = amps.length > 1 ? others.filter((q) => !follows(q, /^ ?fused?\b/)) : others;
  const unclear = posts.length === 0 && loads.some((q) => beside(q) === "perhaps");
  return {
    unclear,
    asked: {
      ...asked,
      quantities: asked.quantities
        .filter((q) => q.kind !== "current" || loads.includes(q) || posts.includes(q))
        .map((q) => (loads.includes(q) ? { ...q, kind: "power", value: supplyWatts(q.value) } : q)),
    },
  };
}

/** "can I run a 2 kW heater on a 6 amp post": the load against what the post gives, and the van's inlet. */
export function supply(message: Asked): Summed | undefined {
  const named = things(message);
  const { asked, unclear } = ampsApart(message, named);
  const said = of(asked, "power");
  // Of several posts the weakest.
  const amps = of(asked, "current").sort((a, b) => a.value - b.value)[0];
  const wrong = [
    ...said.filter((q) => q.value <= 0 || q.value > mostWatts),
    ...(amps && (amps.value <= 0 || amps.value > mostAmps) ? [amps] : []),
    ...of(asked, "voltage").filter((q) => q.value > 400),
    // "A 2 kg heater": no load is told in that, and a usual one must not stand in for a slip.
    ...(said.length > 0 ? [] : (["mass", "energy", "pressure", "speed"] as const)).flatMap((kind) =>
      of(asked, kind),
    ),
  ][0];
  if (wrong) return odd(asked, wrong);
  if (unclear) return ask(asked, "supply-ask-post", { unit: "A" });
  const { said: watts, usual } = loads(asked, named);
  const load = usual.reduce((sum, t) => sum + usualWatts(t, "at-most"), watts);
  const labels = usual.map((t) =>
    say(asked, "supply-label", {
      watts: whole(usualWatts(t, "at-most")),
      thing: t.mains && t.many > 1 ? `${t.many} × ${t.name}` : `a ${t.name}`,
    }),
  );
  const inlet = asked.van.figures.hookUpA;
  if (!amps) {
    if (load === 0)
      return /\bhow (?:many|much)\b|\bwhat (?:can|may|could)\b/.test(asked.text)
        ? ask(asked, "supply-ask-post", { unit: "A" })
        : undefined;
    const need = short(ampsFor(load));
    const least = postFor(load);
    const words = { load: whole(load), need, post: least ?? 0, amps: inlet };
    const line = least !== undefined && least <= inlet ? "supply-needs" : "supply-too-much";
    return {
      told: [
        ...labels,
        say(asked, line, words),
        ...(line === "supply-needs" ? [say(asked, "supply-own")] : []),
      ],
    };
  }
  const limitA = Math.min(amps.value, inlet);
  const limit = supplyWatts(limitA);
  const gives = say(asked, amps.value > inlet ? "supply-inlet" : "supply-gives", {
    amps: short(limitA),
    limit: whole(limit),
  });
  if (load === 0)
    return ask(asked, "supply-ask", { told: [gives, say(asked, "supply-own")], unit: "W" });
  const verdict =
    load > limit
      ? say(asked, "supply-over", { load: whole(load) })
      : say(asked, "supply-under", { load: whole(load), left: whole(limit - load) });
  return { told: [...labels, gives, verdict, ...(load > limit ? [] : [say(asked, "supply-own")])] };
}

/** "how long will the fridge run on the battery": Peukert's law, from full or from the level that is said. */
export function battery(asked: Asked): Summed | undefined {
  const { figures, has } = asked.van;
  const named = things(asked);
  const power = of(asked, "power");
  const current = of(asked, "current");
  const level = levelNow(asked)?.value ?? 1;
  const wrong = [
    ...power.filter((q) => q.value <= 0 || q.value > mostWatts),
    ...current.filter((q) => q.value <= 0 || q.value > 500),
    ...of(asked, "share").filter((q) => q.value > 1 || q.value < 0),
  ][0];
  if (wrong) return odd(asked, wrong);
  if (power.length === 0 && current.length === 0 && named.length === 0) {
    const asks =
      /\bhow long\b|\bhow many (?:hours|days|nights)\b/.test(asked.text) ||
      of(asked, "share").length > 0 ||
      of(asked, "time").length > 0;
    return asks ? ask(asked, "battery-ask", { unit: "W" }) : undefined;
  }
  const { said, usual } = loads(asked, named);
  const fridge = named.some((t) => t.name === "fridge") && has.includes("three-way-fridge");
  const mains = named.filter((t) => t.mains);
  if (mains.length > 0 && !has.includes("inverter"))
    return { told: [say(asked, "battery-no-inverter")] };
  const used = usual.reduce((sum, t) => sum + usualWatts(t, "a-day"), said);
  const watts =
    current.length > 0 && power.length === 0
      ? current.reduce((sum, q) => sum + q.value, 0) * batteryVolts
      : fridge && usual.some((t) => t.name === "fridge")
        ? absorptionWatts
        : used;
  const limit = figures.inverterW;
  if (mains.length > 0 && limit !== undefined && watts > limit)
    return { told: [say(asked, "battery-over", { watts: whole(watts), limit: whole(limit) })] };
  const drawn = mains.length > 0 ? watts * (1 + inverterLoss) : watts;
  const amps = drawn / batteryVolts;
  const { usable } = chemistries[figures.leisureChemistry];
  const time = batteryHours(figures.leisureAh, figures.leisureChemistry, amps, level);
  if (time <= 0)
    return {
      told: [say(asked, "battery-empty", { level: percent(level), keep: percent(1 - usable) })],
    };
  if (fridge)
    return {
      told: [say(asked, "battery-fridge-driving", { time: hours(time), watts: whole(watts) })],
    };
  return {
    told: [
      ...(power.length > 0 || current.length === 0
        ? usual.map((t) =>
            say(asked, "battery-average", {
              watts: whole(usualWatts(t, "a-day")),
              thing: t.mains && t.many > 1 ? `${t.many} × ${t.name}` : t.name,
            }),
          )
        : []),
      say(asked, "battery-time", {
        time: hours(time),
        full: level < 1 ? `${percent(level)} %` : "full",
        ah: figures.leisureAh,
        chemistry: figures.leisureChemistry,
        share: percent(Math.max(0, level - (1 - usable))),
        watts: whole(drawn),
        amps: short(amps),
      }),
      ...(mains.length > 0 ? [say(asked, "battery-inverter")] : []),
      say(asked, "battery-less"),
    ],
  };
}
/** A three-way fridge on 12 V, in watts: it heats all the time. Makers' labels say 120 to 170. Common practice, no source. */
const absorptionWatts = 150;

/** No cartridge of a camping stove holds more. Common practice, no source. */
const mostCartridgeKg = 1;

/** Heavier than any bottle that people change by hand. Common practice, no source. */
const mostBottleKg = 50;

/** Words beside what a bottle or cartridge weighs without its gas. The mass itself is a line end. */
const empty =
  /\b(?:empty|tare|tw)\b(?: (?:bottle|cartridge|one|weight|weighs?|is|at|of|about)| ?[:=])* ?\n|\n ?(?:when |if )?(?:it'?s |it is )?(?:empty|tare)\b/;

/**
 * The kilograms of gas that a text tells: what was weighed less what the bottle weighs empty, where both are said or
 * one is more than the `most` that it can hold; of several masses else the least.
 */
function weighed(asked: Asked, most: number): { mass?: number; gross?: Quantity; tare?: Quantity } {
  const masses = of(asked, "mass").sort((a, b) => a.value - b.value);
  const heaviest = masses.at(-1);
  const tare =
    masses.find((q) => empty.test(`${asked.text.slice(0, q.at)}\n${asked.text.slice(q.end)}`)) ??
    (masses.length > 1 && heaviest && heaviest.value > most ? masses[0] : undefined);
  const rest = masses.filter((q) => q !== tare);
  const gross = tare ? rest.at(-1) : rest[0];
  return {
    ...(gross ? { gross, mass: gross.value - (tare?.value ?? 0) } : {}),
    ...(tare ? { tare } : {}),
  };
}

const days = (n: number): string => (n < 2 ? "one day" : `${Math.floor(n + 1e-9)} days`);

/** "how long does a 220 g cartridge last": by mass, or by how full the van's bottle is. */
export function gas(asked: Asked): Summed | undefined {
  const { has, figures } = asked.van;
  const fixed = has.includes("fixed-gas");
  // The van's gas stands in two bottles of the same size.
  const bottleKg = figures.gasKg === undefined ? mostBottleKg : figures.gasKg / 2;
  const both = /\bboth\b|\b2 (?:full )?(?:bottles|cylinders)\b|\bin (?:all|total)\b/;
  const most = fixed ? bottleKg * (both.test(asked.text) ? 2 : 1) : mostCartridgeKg;
  const { mass, gross, tare } = weighed(asked, most);
  const share = levelNow(asked);
  const power = of(asked, "power")[0];
  const daily = of(asked, "time").find((q) => q.value <= 12);
  // No bottle holds so much gas: it was on the scales with it.
  if (fixed && gross && !tare && gross.value > most && gross.value <= mostBottleKg)
    return ask(asked, "gas-weighed", {
      unit: "kg",
      words: { said: gross.said, most: short(most) },
    });
  const wrong = [
    ...(gross && mass !== undefined && (mass <= 0 || mass > most) ? [gross] : []),
    ...(power && (power.value < 100 || power.value > 30_000) ? [power] : []),
    ...(share && (share.value > 1 || share.value < 0) ? [share] : []),
  ][0];
  if (wrong) return odd(asked, wrong);
  // "A 6 kg bottle, half full".
  const filled = mass ?? (fixed && share && figures.gasKg !== undefined ? bottleKg : undefined);
  const kg = filled === undefined ? undefined : filled * (share?.value ?? 1);
  if (kg === undefined)
    return power || daily || share || /\bhow (?:long|many (?:hours|days|meals))\b/.test(asked.text)
      ? ask(asked, "gas-ask")
      : undefined;
  const kind = fixed ? "propane" : "butane";
  const kw = power ? power.value / 1000 : burnerKw;
  const time = gasHours(kg, kind, kw);
  const amount = kg < 1 ? `${whole(kg * 1000)} g` : `${short(kg)} kg`;
  return {
    told: [
      say(asked, "gas-time", {
        time: hours(time),
        amount,
        gas: kind,
        kwh: short(kg * kwhPerKg[kind]),
        kw: short(kw),
      }),
      ...(daily && time >= daily.value
        ? [say(asked, "gas-days", { hours: hours(daily.value), days: days(time / daily.value) })]
        : []),
      ...(power ? [] : [say(asked, "gas-burner", { kw: short(kw) })]),
    ],
  };
}
