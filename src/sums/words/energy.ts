/** Questions about watts, batteries and gas, answered from the quantities in them. Pure. */
import { batteryHours, batteryVolts, chemistries, inverterLoss } from "../battery.js";
import { burnerKw, gasHours, kwhPerKg } from "../gas.js";
import { ampsFor, postFor, supplyWatts } from "../supply.js";
import { type Asked, ask, hours, odd, of, percent, type Summed, say, short, whole } from "./say.js";

type Thing = { name: string; watts: number; mean?: number | undefined; mains: boolean };

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
    const pattern = new RegExp(`[^a-z]${word}s?(?![a-z])`);
    if (!pattern.test(rest)) continue;
    rest = rest.replace(pattern, " ");
    if (!found.some((t) => t.name === name)) found.push({ name, watts, mean, mains });
  }
  return found;
}

/** More watts than any appliance in a van, and more amps than any post on a pitch: a slip of unit. */
const mostWatts = 20_000;
const mostAmps = 63;

/** "can I run a 2 kW heater on a 6 amp post": the load against what the post gives, and the van's inlet. */
export function supply(asked: Asked): Summed | undefined {
  const named = things(asked);
  const said = of(asked, "power");
  const amps = of(asked, "current")[0];
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
  const load =
    said.length > 0
      ? said.reduce((sum, q) => sum + q.value, 0)
      : named.reduce((sum, t) => sum + t.watts, 0);
  const labels =
    said.length > 0
      ? []
      : named.map((t) => say(asked, "supply-label", { watts: whole(t.watts), thing: t.name }));
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
  const level = of(asked, "share")[0]?.value ?? 1;
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
  const fridge = named.some((t) => t.name === "fridge") && has.includes("three-way-fridge");
  const mains = named.filter((t) => t.mains);
  if (mains.length > 0 && !has.includes("inverter"))
    return { told: [say(asked, "battery-no-inverter")] };
  const used =
    power.length > 0
      ? power.reduce((sum, q) => sum + q.value, 0)
      : named.reduce((sum, t) => sum + (t.mean ?? t.watts), 0);
  const watts =
    current.length > 0 && power.length === 0
      ? current.reduce((sum, q) => sum + q.value, 0) * batteryVolts
      : fridge && power.length === 0
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
      ...(power.length === 0 && current.length === 0
        ? named.map((t) =>
            say(asked, "battery-average", { watts: whole(t.mean ?? t.watts), thing: t.name }),
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

const days = (n: number): string => (n < 2 ? "one day" : `${Math.floor(n + 1e-9)} days`);

/** "how long does a 220 g cartridge last": by mass, or by how full the van's bottle is. */
export function gas(asked: Asked): Summed | undefined {
  const fixed = asked.van.has.includes("fixed-gas");
  const mass = of(asked, "mass")[0];
  const share = of(asked, "share")[0];
  const power = of(asked, "power")[0];
  const daily = of(asked, "time").find((q) => q.value <= 12);
  const wrong = [
    ...(mass && (mass.value <= 0 || mass.value > (fixed ? 50 : mostCartridgeKg)) ? [mass] : []),
    ...(power && (power.value < 100 || power.value > 30_000) ? [power] : []),
    ...(share && (share.value > 1 || share.value < 0) ? [share] : []),
  ][0];
  if (wrong) return odd(asked, wrong);
  // The van's gas stands in two bottles of the same size.
  const bottleKg = (asked.van.figures.gasKg ?? 0) / 2;
  // "A 6 kg bottle, half full".
  const filled = mass?.value ?? (fixed && share ? bottleKg : undefined);
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
