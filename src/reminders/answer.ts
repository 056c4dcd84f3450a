/** What a reply to a reminder says: marks, levels, odometer, ok or not ok, arrival. Pure. */
import type { RemindersFile, Want } from "../knowledge/schema.js";
import type { Reading } from "../post.js";
import { type ArrivalTime, sayArrival } from "./arrival.js";
import { namesOf, pressedButton } from "./buttons.js";
import { asFigure, type Doubt, type Doubted, sayDoubted } from "./distance.js";
import { okOrNot, onlyDone } from "./marks.js";
import { onlyMark, tellsArrival } from "./own-words.js";
import {
  type Found,
  odometer,
  press,
  type ReadFacts,
  type Target,
  take,
  takeUnnamed,
} from "./pick.js";
import { isQuestion, pieces, plainly } from "./words.js";

/**
 * `none`: the words are about something else. `not-a-reading`: "done" and the like; `wants` names what to ask
 * for. `reading`: what was understood; nothing doubtful is in it, and `doubts` ask about that in whole
 * sentences; `missing` and `wants` are what is still to be told, `rest` the words that say something else.
 * `doubted`: the odometer that is asked about; `again`: one that was, told a second time.
 */
export type Read =
  | { kind: "none" }
  | { kind: "not-a-reading"; missing: Want[]; wants: string }
  | {
      kind: "reading";
      reading: Partial<Reading>;
      /** What of that was asked for by one reminder or another. */
      got: Want[];
      states: Found["states"];
      arrival?: ArrivalTime;
      doubts: string[];
      doubted?: Doubted;
      again?: string;
      missing: Want[];
      wants: string;
      rest: string;
    };

const ofOdometer =
  /\bodometer\b|\bodo\b|\bmileage\b|(?<!\bo['’]? ?)\bclock\b|\bspeedo\w*|\bcounter\b/;
const keyed: [Target, RegExp][] = [
  ["odometer", new RegExp(`${ofOdometer.source}|\\d ?(?:km|miles?|mi|kilometres?)\\b`)],
  ["fluid", /\bad ?-?blue?\b|\bdef\b|\bexhaust\b|\bblue\b|\bfluid\b|\burea\b/],
  // A mark is the oil's, unless the words are about another vessel.
  [
    "oil",
    /\boil\b|\bdip ?stick\b|^(?!.*\b(?:coolant|cooling|anti ?freeze|radiator|fluid|ad ?blue?|def)\b).*\bmarks?\b/,
  ],
  ["tyres", /\btyres?\b|\bwheels?\b/],
  ["coolant", /\bcoolant\b|\bcooling\b|\banti ?freeze\b|\bradiator\b/],
  ["fuel", /\bfuel\b|\bdiesel\b|\bpetrol\b/],
];
/** Words of a matter that is no reply, however many figures stand beside them. */
const alarming =
  /\b(?:smoke|smoking|fire|flames?|warning|smell|smells|burning|beep\w*|alarm|accident|crash\w*|hurt|help|light (?:is |came |has come |just )?on|red light|won't|stuck|broke\w*|leaking|leak)\b/;
/** What holds people up, however alarming its words. */
const heldUp =
  /\bstuck (?:in|behind) (?:(?:a|the|some|heavy|slow) )*(?:traffic|(?:traffic )?jams?|queues?|tractors?|roadworks|lorry|sheep)\b|\bwon't (?:be (?:back|there|here|with you|able|in time|on time)|make it|make the|get (?:back|there|here|to you))\b|\b(?:no|without) help\b|\b(?:accident|crash) (?:ahead|in front)\b/g;

/** Whether words, as they are written, tell of a matter that is no reply. */
export const isAlarming = (words: string): boolean =>
  alarming.test(plainly(words).replace(heldUp, " "));

/** Tyres, coolant, arrival and an odometer that cannot be right have no field of their own in a reading: they stand in its note. */
function noteOf(found: Found, words: string): string | undefined {
  const parts = [
    ...(["tyres", "coolant"] as const).flatMap((t) =>
      found.states[t] === undefined ? [] : [`${t} ${found.states[t] === "ok" ? "ok" : "not ok"}`],
    ),
    ...(found.arrival ? [sayArrival(found.arrival)] : []),
    ...(found.again ? [`odometer ${sayDoubted(found.again)}, told twice`] : []),
  ];
  if (parts.length === 0) return undefined;
  const why = [found.states.tyres, found.states.coolant].includes("not-ok")
    ? ` ("${words.trim().slice(0, 200)}")`
    : "";
  return parts.join("; ") + why;
}

/** A doubt as a sentence. */
const tellDoubt = (doubt: Doubt, file: RemindersFile): string =>
  (file.doubts[doubt.id] ?? "").replace(
    /\{([a-z]+)\}/g,
    (whole, name: string) => doubt.words[name] ?? whole,
  );

/**
 * Reads a hirer's reply to a reminder that wants these things. Free text in any order ("between, tyres fine,
 * 57,340"), typing slips, per cent, fractions, words, or a button's "oil=between". Odometers are kept in km;
 * a reading that goes back or too far in too short a time is a doubt and is not kept. Questions and alarming
 * words are `none`: they are not replies. Never throws.
 */
export function readReading(text: string, wants: readonly Want[], facts: ReadFacts): Read {
  const found: Found = {
    ...{ reading: {}, states: {}, doubts: [], got: new Set(), unclear: new Set() },
    piece: 0,
  };
  const rest: string[] = [];
  const pressed = pressedButton(text, facts.file);
  const plain = facts.doubted ? asFigure(plainly(text), facts.doubted) : plainly(text);
  if (pressed) press(found, pressed.want, pressed.value);
  else {
    const all = pieces(plain);
    // Who tells when they come may tell why they are late: it is left over.
    const comes =
      wants.every((w) => w === "arrival") && all.some((piece) => tellsArrival(piece, facts.base));
    if (text.length > 400 || (isAlarming(plain) && !comes)) return { kind: "none" };
    const asks = all.some(isQuestion);
    let named: Target[] = [];
    for (const [i, piece] of all.entries()) {
      found.piece = i;
      if (isQuestion(piece)) {
        rest.push(piece);
        continue;
      }
      const targets = keyed.filter(([, pattern]) => pattern.test(piece)).map(([target]) => target);
      const forThese = [...new Set([...named, ...targets])];
      // "5 miles from you" is a distance; only where an odometer is asked for may it be a trip counter.
      const isNamed = (target: Target) =>
        target !== "odometer" || wants.includes("odometer") || ofOdometer.test(piece);
      const held = forThese.filter((target) => take(found, target, piece, facts, isNamed(target)));
      if (forThese.length > 0 && held.length === 0) {
        // "tyres and coolant ok": what was named waits for its value.
        named = forThese;
        continue;
      }
      named = [];
      if (held.length > 0) {
        // "92,340 miles between": the piece named one thing and holds another besides.
        if (held.includes("odometer"))
          takeUnnamed(
            found,
            piece.replace(/[\d.,' ]{4,}\s?(?:km|miles?|mi)?/, " "),
            wants,
            facts,
            asks,
          );
        else if (wants.includes("odometer") && !found.got.has("odometer") && !facts.onlyNamed)
          odometer(found, piece, facts, false);
        continue;
      }
      if (!takeUnnamed(found, piece, wants, facts, asks)) rest.push(piece);
    }
  }
  const missing = wants.filter((w) => !found.got.has(w) && !found.unclear.has(w));
  const asked = namesOf(missing, facts.file);
  for (const want of found.unclear)
    if (!found.got.has(want) && !found.doubts.some((d) => d.id.startsWith(want)))
      found.doubts.push({ id: `${want}-unclear`, words: {} });
  if (found.got.size === 0 && found.doubts.length === 0)
    return missing.length > 0 &&
      !facts.onlyNamed &&
      (onlyDone(plain) || (okOrNot(plain) === "ok" && pieces(plain).every(onlyMark))) &&
      !rest.some(isQuestion)
      ? { kind: "not-a-reading", missing, wants: asked }
      : { kind: "none" };
  const note = noteOf(found, text);
  return {
    kind: "reading",
    reading: { ...found.reading, ...(note === undefined ? {} : { note }) },
    got: [...found.got].filter((target) => target !== "fuel"),
    states: found.states,
    ...(found.arrival ? { arrival: found.arrival } : {}),
    doubts: found.doubts.map((d) => tellDoubt(d, facts.file)),
    ...(found.doubted ? { doubted: found.doubted } : {}),
    ...(found.again ? { again: sayDoubted(found.again) } : {}),
    missing,
    wants: asked,
    rest: rest.join(", "),
  };
}

/** What a low or bad mark asks for. */
export type Follows = { act: "top-up" } | { act: "stop"; matter: "oil" | "tyres" | "coolant" };

/**
 * What a kept reading asks for, stops first. `stop`: oil at or below the lowest mark, low twice running, or above
 * the top mark (makers' handbooks: do not start, have it corrected), or tyres or coolant not ok, until somebody
 * has looked. `top-up`: oil low for the first time.
 */
export function whatFollows(
  read: Extract<Read, { kind: "reading" }>,
  earlier: readonly Pick<Reading, "oil">[],
): Follows[] {
  const { oil } = read.reading;
  const before = earlier.findLast((r) => r.oil !== undefined)?.oil;
  const badOil =
    oil === "min" ||
    oil === "below-min" ||
    oil === "above-max" ||
    (oil === "low" && before === "low");
  const bad = (["tyres", "coolant"] as const).filter((of) => read.states[of] === "not-ok");
  const stops = [...(badOil ? (["oil"] as const) : []), ...bad];
  return [
    ...stops.map((matter) => ({ act: "stop", matter }) as const),
    ...(oil === "low" && !badOil ? [{ act: "top-up" } as const] : []),
  ];
}

/** Whether this person of the hire told a reading; one from before that was kept is of whoever has the name. */
export const isToldBy = (reading: Reading, { id, name }: { id: string; name: string }): boolean =>
  reading.person === undefined ? reading.by === name : reading.person === id;
