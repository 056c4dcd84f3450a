/** When somebody says that they will be here. Pure. Clocks are local to the hire. */
import { digits } from "../knowledge/measures/numerals.js";

/** `clock`: "10:30", of the `day` where one is named ("today", "tomorrow", "wed"); `inMin`: minutes from now; `lateMin`: after the agreed time, below nought before it; `onTime`; `back`: here already. */
export type ArrivalTime =
  | { clock: string; day?: string }
  | { inMin: number }
  | { lateMin: number }
  | { onTime: true }
  | { back: true };

/** The part of the day of which a time is said to be: 12 and 1 of a "night" may mean after midnight. */
type Part = "afternoon" | "night" | undefined;

/** Without am or pm, one to seven is the afternoon, since nobody meets a van at night; "07" is the morning. */
function clock(
  hour: string,
  minute: number,
  told: string | undefined,
  part?: Part,
): ArrivalTime | "unclear" {
  const said = Number(hour);
  if (part === "night" && (said < 4 || said === 12)) return "unclear";
  const half = told ?? (part && said <= 12 ? "pm" : undefined);
  if (said < 0 || said > 23 || minute < 0 || minute > 59) return "unclear";
  if (half !== undefined && (said > 12 || said === 0)) return "unclear";
  const h =
    half === "pm"
      ? (said % 12) + 12
      : half === "am"
        ? said % 12
        : said >= 1 && said <= 7 && !hour.startsWith("0")
          ? said + 12
          : said;
  return { clock: `${String(h).padStart(2, "0")}:${String(minute).padStart(2, "0")}` };
}

/** Minutes that a text names: "20 min", "an hour", "half an hour", "1.5 hours", "an hour and a half", "1 hour 20 minutes", "1h30 late"; "10:30 hrs", "1130 hours" and "at 11h" are clocks. */
function minutes(text: string): number | undefined {
  if (/\bhalf an? hour\b|\bhalf hour\b/.test(text)) return 30;
  if (/\bquarter of an hour\b/.test(text)) return 15;
  const short = /\b(\d{1,2})h([0-5]\d) (?:late|early)/.exec(text);
  if (short) return Number(short[1]) * 60 + Number(short[2]);
  const hours =
    /(?:(?<![\d:.]|\bat )(\d{1,2}(?:[.,]5)?)|\ban?) ?(?:hours?|hrs?|h)\b(?:( and a half)| (?:and )?(\d{1,2}) ?min(?:ute)?s?\b)?/.exec(
      text,
    );
  if (hours)
    return Math.round(
      (Number((hours[1] ?? "1").replace(",", ".")) + (hours[2] ? 0.5 : 0)) * 60 +
        Number(hours[3] ?? 0),
    );
  const mins = /(\d{1,3}) ?(?:min|mins|minutes?)\b/.exec(text);
  return mins ? Number(mins[1]) : undefined;
}

/** Spans as minutes() reads them, to be put aside where a clock stands beside one. */
const spans =
  /\bhalf an? hour\b|\bquarter of an hour\b|(?<![\d:.])(?:\d{1,3}(?:[.,]5)?|\ban?) ?(?:hours?|hrs?|h|min(?:ute)?s?)\b(?: and a half)?/g;
/** A clock that is named as one: "it takes us 2 hours, so back at 11". */
const namedClock =
  /\b(?:at|by|around|about) \d{1,2}(?:[:.]\d{2})?(?! ?(?:hours?|hrs?|h|min(?:ute)?s?|mph|kph|miles?|mi|km|psi|bars?|degrees?|per ?cent|[%°])\b|[\d.,:]*\d)/;
/** "Running late, there in 20 minutes" is from now on, not from the agreed time. */
const fromNow = /\bin (?:about |around |roughly |another )?(?:\d{1,3} ?(?:h|m)|an hour|half an)/;
const isEarly =
  /\bearl(?:y|ier)\b(?! (?:morning|afternoon|evening))|\bbefore (?:the )?(?:agreed|arranged|planned|booked)\b|\bahead of (?:time|schedule|plan)\b/;

/** The day that a text names; "tonight" is today. */
function dayIn(text: string): string | undefined {
  if (/\btomorrow\b/.test(text)) return "tomorrow";
  if (/\b(?:today|tonight|this (?:morning|afternoon|evening))\b/.test(text)) return "today";
  const days =
    /\b(mon|tue|wed|thu|fri|sat(?! ?nav)|sun)(?:day|s|sday|nesday|r|rs|rsday|urday)?\b/.exec(text);
  return days?.[1];
}

const ofPart =
  /\b(?:tonight|(?:this|in the|tomorrow|(?:mon|tues|wednes|thurs|fri|satur|sun)day) (afternoon|evening))\b/;

/** The part of the day that is named, unless another day is named too: "here tonight, back tomorrow at 9". */
function partIn(text: string): Part {
  const named = ofPart.exec(text);
  const other = dayIn(text.replace(ofPart, " "));
  if (!named || (other !== undefined && other !== "today")) return undefined;
  return named[1] === "afternoon" ? "afternoon" : "night";
}

/** The arrival that a plain text (see words.ts) names, with its day. "half ten" is unclear: it means 10:30 to some and 9:30 to others. */
export function arrivalIn(text: string): ArrivalTime | "unclear" | undefined {
  const time = timeIn(text);
  if (typeof time !== "object" || !("clock" in time)) return time;
  if (/\bday after\b/.test(text)) return "unclear";
  const day = dayIn(text);
  return day === undefined ? time : { ...time, day };
}

function timeIn(text: string): ArrivalTime | "unclear" | undefined {
  if (
    /\b(?:returned|already (?:back|here|there|returned)|(?:we are|we're|i'm|i am) (?:here|back)|(?:key|keys) (?:is |are )?in the (?:key ?)?box|dropped (?:it|the van) off|handed (?:it )?(?:back|over))\b/.test(
      text,
    )
  )
    return { back: true };
  if (
    !isEarly.test(text) &&
    /\b(?:on time|as agreed|as planned|as arranged|as booked|like agreed|the agreed time)\b/.test(
      text,
    )
  )
    return { onTime: true };
  const words = digits(text)
    .replace(/ in the morning\b/, " am")
    .replace(/ in the (?:afternoon|evening)\b/, " pm")
    .replace(
      /(?<![-\d:.h]|\bminus )([1-9]|1[0-2]) (?:this (?:afternoon|evening)|tonight)\b/,
      "$1 pm",
    )
    .replace(/(\d) ((?:this|tomorrow|[a-z]+day) )morning\b/, "$1 am $2");
  const part = partIn(text);
  const span = minutes(words);
  const besides = words.replace(spans, " ");
  if (span !== undefined && !fromNow.test(words)) {
    if (/\blate|\blater\b|\bdelay|\bbehind\b/.test(words)) return { lateMin: span };
    if (isEarly.test(words)) return { lateMin: -span };
  }
  if (span !== undefined && !namedClock.test(besides)) return { inMin: span };
  const plain = span === undefined ? words : besides;
  if (/\b(?:noon|midday)\b/.test(plain)) return { clock: "12:00" };
  const exact = /\b(\d{1,2})[:.h](\d{2})(?!\d) ?(am|pm)?/.exec(plain);
  if (exact) return clock(exact[1] ?? "", Number(exact[2]), exact[3], part);
  const four = /\b([01]\d|2[0-3])([0-5]\d) ?(?:hrs|hours|h)?\b/.exec(plain);
  if (four) return clock(four[1] ?? "", Number(four[2]), undefined, part);
  const past = /\b(half|quarter|\d{1,2}) (past|to|after|before) (\d{1,2}) ?(am|pm)?/.exec(plain);
  if (past) {
    const m = past[1] === "half" ? 30 : past[1] === "quarter" ? 15 : Number(past[1]);
    const hour = Number(past[3]);
    return past[2] === "past" || past[2] === "after"
      ? clock(String(hour), m, past[4], part)
      : clock(String(hour === 1 ? 12 : hour - 1), 60 - m, past[4], part);
  }
  if (/\bhalf \d{1,2}\b/.test(plain)) return "unclear";
  const spoken = /\b(\d|1[0-2]) (15|30|45)\b/.exec(plain);
  if (spoken) return clock(spoken[1] ?? "", Number(spoken[2]), undefined, part);
  const hour =
    /(?:\b(?:at|by|around|about|before|after|circa|approx|roughly|maybe|~|say|for)\b |^|~)(\d{1,3}) ?(am|pm|o'? ?clock|ish|hours|hrs|h)?(?: (am|pm))?(?!\d| ?(?:mph|kph|miles?|mi|km|psi|bars?|degrees?|per ?cent|[%°]))/.exec(
      plain,
    ) ?? /\b(\d{1,3}) ?(am|pm|o'? ?clock|ish)\b/.exec(plain);
  if (!hour) return undefined;
  const half = hour.slice(2).find((word) => word === "am" || word === "pm");
  return clock(hour[1] ?? "", 0, half, part);
}

/** As the trip log notes it. */
export function sayArrival(time: ArrivalTime): string {
  if ("clock" in time) return `arrival ${time.day ? `${time.day} ` : ""}${time.clock}`;
  if ("inMin" in time) return `arrival in ${time.inMin} min`;
  if ("lateMin" in time)
    return `arrival ${Math.abs(time.lateMin)} min ${time.lateMin < 0 ? "early" : "late"}`;
  return "onTime" in time ? "arrival as agreed" : "says that the van is back";
}
