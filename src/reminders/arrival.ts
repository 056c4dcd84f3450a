/** When somebody says that they will be here. Pure. Clocks are local to the hire. */

/** `clock`: "10:30"; `inMin`: minutes from now; `lateMin`: after the agreed time; `onTime`; `back`: here already. */
export type ArrivalTime =
  | { clock: string }
  | { inMin: number }
  | { lateMin: number }
  | { onTime: true }
  | { back: true };

const numbers: Record<string, number> = {
  one: 1,
  two: 2,
  three: 3,
  four: 4,
  five: 5,
  six: 6,
  seven: 7,
  eight: 8,
  nine: 9,
  ten: 10,
  eleven: 11,
  twelve: 12,
  fifteen: 15,
  twenty: 20,
  thirty: 30,
  forty: 40,
  fifty: 50,
};
const numeral = `(\\d{1,3}|${Object.keys(numbers).join("|")})`;
const numberOf = (word: string | undefined): number => numbers[word ?? ""] ?? Number(word);

/** Without am or pm, one to seven is the afternoon: nobody meets a van at night. */
function clock(hour: number, minute: number, half: string | undefined): ArrivalTime | "unclear" {
  if (hour > 23 || minute > 59 || (half !== undefined && (hour > 12 || hour === 0)))
    return "unclear";
  const h =
    half === "pm"
      ? (hour % 12) + 12
      : half === "am"
        ? hour % 12
        : hour >= 1 && hour <= 7
          ? hour + 12
          : hour;
  return { clock: `${String(h).padStart(2, "0")}:${String(minute).padStart(2, "0")}` };
}

/** Minutes that a text names: "20 min", "an hour", "half an hour", "1.5 hours". */
function minutes(text: string): number | undefined {
  if (/\bhalf an? hour\b|\bhalf hour\b/.test(text)) return 30;
  if (/\bquarter of an hour\b/.test(text)) return 15;
  const hours =
    /(?:(\d{1,2}(?:[.,]5)?)|\b(an?|one|two|three|four|five|six)) ?(and a half )?(?:hours?|hrs?|h)\b/.exec(
      text,
    );
  if (hours) {
    const n =
      hours[1] === undefined
        ? /^an?$/.test(hours[2] ?? "")
          ? 1
          : numberOf(hours[2])
        : Number(hours[1].replace(",", "."));
    return Math.round((n + (hours[3] ? 0.5 : 0)) * 60);
  }
  const mins = new RegExp(`${numeral} ?(?:min|mins|minutes?)\\b`).exec(text);
  return mins ? numberOf(mins[1]) : undefined;
}

/** The arrival that a plain text (see words.ts) names. "half ten" is unclear: it means 10:30 to some and 9:30 to others. */
export function arrivalIn(plain: string): ArrivalTime | "unclear" | undefined {
  if (
    /\b(?:returned|already (?:back|here|there|returned)|(?:we are|we're|i'm|i am) (?:here|back)|(?:key|keys) (?:is |are )?in the (?:key ?)?box|dropped (?:it|the van) off|handed (?:it )?(?:back|over))\b/.test(
      plain,
    )
  )
    return { back: true };
  if (
    /\b(?:on time|as agreed|as planned|as arranged|as booked|like agreed|the agreed time)\b/.test(
      plain,
    )
  )
    return { onTime: true };
  const span = minutes(plain);
  if (span !== undefined)
    return /\blate|\blater\b|\bdelay|\bbehind\b/.test(plain) ? { lateMin: span } : { inMin: span };
  if (/\b(?:noon|midday)\b/.test(plain)) return { clock: "12:00" };
  const exact = /\b(\d{1,2})[:.h](\d{2})(?!\d) ?(am|pm)?/.exec(plain);
  if (exact) return clock(Number(exact[1]), Number(exact[2]), exact[3]);
  const four = /\b([01]\d|2[0-3])([0-5]\d) ?(?:hrs|hours)?\b/.exec(plain);
  if (four) return clock(Number(four[1]), Number(four[2]), undefined);
  const past = new RegExp(
    `\\b(half|quarter|${numeral}) (past|to|after|before) ${numeral} ?(am|pm)?`,
  ).exec(plain);
  if (past) {
    const m = past[1] === "half" ? 30 : past[1] === "quarter" ? 15 : numberOf(past[1]);
    const after = past[3] === "past" || past[3] === "after";
    const hour = numberOf(past[4]);
    return after ? clock(hour, m, past[5]) : clock(hour === 1 ? 12 : hour - 1, 60 - m, past[5]);
  }
  if (new RegExp(`\\bhalf ${numeral}\\b`).test(plain)) return "unclear";
  const spoken = new RegExp(
    `\\b(${Object.keys(numbers).slice(0, 12).join("|")}) (fifteen|thirty|forty five)\\b`,
  ).exec(plain);
  if (spoken)
    return clock(
      numberOf(spoken[1]),
      spoken[2] === "forty five" ? 45 : numberOf(spoken[2]),
      undefined,
    );
  const hour = new RegExp(
    `(?:\\b(?:at|by|around|about|before|after|circa|approx|roughly|maybe|~|say|for)\\b |^|~)${numeral} ?(am|pm|o'?clock|ish)?(?: (?:am|pm))?(?!\\d)`,
  ).exec(plain);
  if (hour)
    return clock(numberOf(hour[1]), 0, hour[2] === "am" || hour[2] === "pm" ? hour[2] : undefined);
  const named = new RegExp(`\\b${numeral} ?(am|pm|o'?clock|ish)\\b`).exec(plain);
  return named
    ? clock(numberOf(named[1]), 0, named[2] === "am" || named[2] === "pm" ? named[2] : undefined)
    : undefined;
}

/** As the trip log notes it. */
export function sayArrival(time: ArrivalTime): string {
  if ("clock" in time) return `arrival ${time.clock}`;
  if ("inMin" in time) return `arrival in ${time.inMin} min`;
  if ("lateMin" in time) return `arrival ${time.lateMin} min late`;
  return "onTime" in time ? "arrival as agreed" : "says that the van is back";
}
