/** Places in what people write: degrees, grid references, pasted map links; and words that tell of a place. Pure. */
import { saysNo, saysNotWell, saysYes } from "../yes-no.js";
import { fromGrid } from "./grid.js";

type Found = { lat: number; lon: number; accuracyM?: number };

const number = String.raw`-?\d{1,3}(?:\.\d+)?`;
/** 57°28'48.5"N and what people make of it: spaces for signs, minutes or seconds left out. */
const angle = String.raw`(-?\d{1,3}(?:\.\d+)?)\s*°?\s*(?:(\d{1,2}(?:\.\d+)?)\s*['′’]?\s*(?:(\d{1,2}(?:\.\d+)?)\s*(?:["″”]|'')?\s*)?)?`;
const letterAfter = new RegExp(`(?<![\\w.])${angle}([NS])\\b[,;\\s]*${angle}([EW])\\b`, "i");
const letterBefore = new RegExp(
  `\\b([NS])\\s*${angle}[,;\\s]*\\b([EW])\\s*${angle}(?![\\w.])`,
  "i",
);
/** The pin of a map link: its own marks beat the middle of the map. */
const pins = [
  new RegExp(`!3d(${number})!4d(${number})`),
  new RegExp(`\\bmlat=(${number})&mlon=(${number})`, "i"),
];
/** Two numbers with three decimals or more: nobody writes a pressure or a price so. */
const fine = /(?<![\d.,])(-?\d{1,2}\.\d{3,})\s*°?\s*[,;/\s]\s*(-?\d{1,3}\.\d{3,})(?![\d.]*\d)/;
/** Decimal commas, as on the Continent; with three figures after it a comma parts thousands. */
const commas = /(?<![\d.,])(-?\d{1,2}),(\d{4,}\s*°?[,;/]?\s+-?\d{1,3}),(\d{4,})(?![\d.,]*\d)/;
/** "lat 57.48 long -4.22", in either order. */
const axis = (names: string, letters: string): RegExp =>
  new RegExp(
    String.raw`\b(?:${names})\b["']?\s*[:=]?\s*(-?\d{1,3}\.\d+)\s*°?\s*(?:([${letters}])\b)?`,
    "i",
  );
const latitude = axis("lat|latitude", "NS");
const longitude = axis("lon|long|longitude|lng", "EW");
/** With two decimals, and a comma, it is a place only where the numbers are of these islands. */
const coarse = /(?<![\d.,])(\d{2}\.\d{2,})\s*,\s*(-?\d{1,2}\.\d{2,})(?![\d.]*\d)/;
const nationalGrid =
  /(?<![A-Za-z])([HNOST][A-HJ-Z])\s?(?:(?<e>\d{2,5})\s(?<n>\d{2,5})|(?<run>\d{4}(?:\d\d){0,3}))(?![\s/-]?\d)\b/gi;
/** One letter and fewer figures are a road or a room. */
const irishGrid =
  /(?<![A-Za-z])([A-HJ-Z])\s?(?:(?<e>\d{3,5})\s(?<n>\d{3,5})|(?<run>\d{6}(?:\d\d){0,2}))(?![\s/-]?\d)\b/g;

const onEarth = (lat: number, lon: number): Found | undefined =>
  Math.abs(lat) <= 90 && Math.abs(lon) <= 180 ? { lat, lon } : undefined;
/** Within a box around Great Britain and Ireland. */
const onIslands = (lat: number, lon: number): boolean =>
  lat >= 49 && lat <= 61 && lon >= -11 && lon <= 2;
/** Two numbers of which nobody says which is which: east first, as many programs write it, where only so they are of these islands. */
const eitherWay = (a: number, b: number): Found | undefined =>
  !onIslands(a, b) && onIslands(b, a) ? { lat: b, lon: a } : onEarth(a, b);

function sixty(parts: readonly (string | undefined)[], letter: string | undefined): number {
  const [degrees = 0, minutes = 0, seconds = 0] = parts.map((p) => Number(p ?? 0));
  if (minutes >= 60 || seconds >= 60) return Number.NaN;
  const value = Math.abs(degrees) + minutes / 60 + seconds / 3600;
  // "-4.2210 W" is no less west for its sign.
  return degrees < 0 || /[sw]/i.test(letter ?? "") ? -value : value;
}

function lettered(text: string): Found | undefined {
  const a = letterAfter.exec(text);
  if (a) return onEarth(sixty(a.slice(1, 4), a[4]), sixty(a.slice(5, 8), a[8]));
  const b = letterBefore.exec(text);
  return b ? onEarth(sixty(b.slice(2, 5), b[1]), sixty(b.slice(6, 9), b[5])) : undefined;
}

function plain(text: string): Found | undefined {
  for (const pattern of pins) {
    const [, lat, lon] = pattern.exec(text) ?? [];
    const found = lat && lon ? onEarth(Number(lat), Number(lon)) : undefined;
    if (found) return found;
  }
  const [, lat, north] = latitude.exec(text) ?? [];
  const [, lon, east] = longitude.exec(text) ?? [];
  const named = lat && lon ? onEarth(sixty([lat], north), sixty([lon], east)) : undefined;
  if (named) return named;
  const [, a, b] = fine.exec(text) ?? [];
  const found = a && b ? eitherWay(Number(a), Number(b)) : undefined;
  if (found) return found;
  const [, y, x] = coarse.exec(text) ?? [];
  return onIslands(Number(y), Number(x)) ? { lat: Number(y), lon: Number(x) } : undefined;
}

const saysGrid = /\bgrid\b|\b(?:OS|map) ref/i;
/** Letters that are also words count only when written as letters, and parted as a reference is. */
const alsoWords = /^(no|so)$/i;
/** What has a number of its own: "BOOKING NO 123 456". */
const numbered =
  /\b(?:ref\w*|booking|member\w*|policy|phone|tel\w*|mobile|account|order|reg\w*|serial|part|invoice|claim|contract|number)\W*$/i;
/** What makes of the figures before it a distance. */
const aUnit =
  /^\s*(?:m|met(?:re|er)s?|yards?|yds?|miles?|mi|kms?|kilomet(?:re|er)s?|feet|foot|ft|min(?:ute)?s?)\b/i;
/** A road and then figures: "B863 150". */
const roadFirst = /^[ABLNR]\d{3,5}\s/;

/** Whether letters and figures are rather something else than a grid reference. */
function hardlyGrid(text: string, { 0: whole, 1: name = "", index, groups }: RegExpExecArray) {
  if (aUnit.test(text.slice(index + whole.length))) return true;
  // Four figures in small letters, and "no 123 456", are more often something else.
  const few = (groups?.["e"] ?? groups?.["run"]?.slice(2) ?? "").length < 3;
  if (name !== name.toUpperCase()) return alsoWords.test(name) || few;
  if (saysGrid.test(text)) return false;
  if (alsoWords.test(name))
    return few || groups?.["run"] !== undefined || numbered.test(text.slice(0, index));
  return roadFirst.test(whole);
}

function gridded(text: string): Found | undefined {
  for (const pattern of [nationalGrid, irishGrid])
    for (const match of text.matchAll(pattern)) {
      if (hardlyGrid(text, match)) continue;
      const { 1: name = "", groups } = match;
      const run = groups?.["run"] ?? "";
      const east = groups?.["e"] ?? run.slice(0, run.length / 2);
      const north = groups?.["n"] ?? run.slice(run.length / 2);
      const found = fromGrid(name, east, north);
      if (found) return { lat: found.lat, lon: found.lon, accuracyM: found.sideM };
    }
  return undefined;
}

/**
 * The first place that a text gives in figures; undefined if there is none. Never throws.
 * @example coordinatesIn("we are at NH 666 450") → { lat: 57.47…, lon: -4.22…, accuracyM: 100 }
 */
export function coordinatesIn(text: string): Found | undefined {
  const said = text
    .slice(0, 2000)
    .replace(/%(?:2C|C2%B0|27|22|20)/gi, (code) => decodeURIComponent(code))
    .replace(/\+/g, " ")
    .replace(/[−–]/g, "-")
    .replaceAll("º", "°")
    .replace(commas, "$1.$2.$3");
  return lettered(said) ?? plain(said) ?? gridded(said);
}

/** Words that name one spot: a marker post, a junction, a lay-by, a postcode, three words of an address square. */
const spot =
  /\b(?:mile|km|kilomet(?:re|er)|marker|distance)[ -]?(?:post|marker|stone|plate)s?\b|\bmarker\b.{0,10}\d|\b(?:junction|J) ?\d{1,2}[a-z]?\b|\b[A-Z]{1,2}\d[A-Z\d]? ?\d[A-Z]{2}\b|\/{3}\w+\.\w+\.\w+/i;
const road = /\b(?:[AMN]\d{1,4}(?:\(M\))?|B\d{3,4}|R\d{3})\b/i;
/** What makes a spot of a road. */
const beside =
  /\b(?:lay-? ?by|near|next to|between|outside|opposite|past|before|after|by|just|miles?|km|met(?:re|er)s|yards|north|south|east|west)\b/i;
/** Words that tell a place when somebody was just asked for it. */
const likely =
  /\b(?:road|street|lane|track|junction|roundabout|near|next to|opposite|north ?bound|south ?bound|east ?bound|west ?bound|heading|car ?park|camp ?site|caravan (?:park|site)|beach|bridge|ferry|village|loch|glen|harbour|services|filling station|station|pub|hotel|farm|church|supermarket)\b|\b(?:miles?|km|min(?:ute)?s)\b.{0,12}\b(?:from|past|north|south|east|west|after|before|outside|of)\b|\b(?:in|at|near|by|on|outside|past|towards?|between|from)\s+(?:the\s+)?[A-Z][a-z]{2,}/;
const isQuestion =
  /\?\s*$|^\W*(?:how|what|where|when|which|who|why|can|could|may|should|shall|do|does|is|are|will|would)\b/i;

/** What tells one car park from another: a name, a number, a direction, a distance. */
const telling =
  /\d|\S\s+["'(]?[A-Z][a-z]{2,}|\b(?:miles?|km|minutes?|mins?|north|south|east|west|near|next to|opposite|towards?|between|past|outside|heading|from|after|before)\b/;

/** Three words of an address square, without the strokes before them; no web address. */
const threeWords = /(?<![\w./@:])(?!www\.)[a-z]{3,}\.[a-z]{3,}\.[a-z]{3,}(?![\w/@]|\.\w)/i;

/**
 * How surely words tell where somebody is: "likely" means only when they were just asked; "vague" ("in a car
 * park") does not tell which one.
 */
export function placeIn(text: string): "spot" | "road" | "likely" | "vague" | undefined {
  const said = text.trim();
  if (said.length > 400 || isQuestion.test(said)) return undefined;
  if (spot.test(said) || (road.test(said) && beside.test(said))) return "spot";
  if (road.test(said)) return "road";
  if (threeWords.test(said)) return "likely";
  return likely.test(said) ? (telling.test(said) ? "likely" : "vague") : undefined;
}

const safe =
  /\b(?:safe|lay-? ?by|car ?park|camp ?site|caravan (?:park|site)|services|filling station|petrol station|forecourt|drive ?way|yard|farm ?yard|parked up)\b/i;
const unsafe =
  /\b(?:un|not |isn'?t |in)safe\b|\bnot (?:a |very |really |at all )*safe\b|\bdangerous\b|\bhard shoulder\b|\blive lane\b|\b(?:on|in) (?:a |the )?(?:bend|corner|carriageway|motorway|dual carriageway|roundabout|fast lane|slow lane)\b|\bblind (?:bend|corner|summit)\b|\bblocking\b/i;
/** The van amid a road; sheep may be where the van is parked off it. */
const midRoad = /\bmiddle of the (?:road|carriageway|lane|motorway)\b/i;
const parkedSafely =
  /(?<!\b(?:not|never|cannot|unable|nowhere|\w+n['’]?t)\b[^.,;!?]{0,30})\b(?:(?:parked|pulled)(?: (?:up|in|over|off))? safely|safely parked)\b(?! in the middle)/i;

/** A safe place that is denied or doubted: "not sure it's safe", "nowhere safe here", "don't feel safe". */
const hardlySafe =
  /\b(?:no(?:where|t)?|never|hardly|unsure|\w+n['’]?t)\s+(?:(?:sure|certain|know|think|believe|say|find|see|feels?|looks?|seems?|whether|if|how|it['’]?s?|that['’]?s?|this|is|are|am|i|we|where|place|place's|somewhere|anywhere|spot|a|an|very|really|at|all|here|there|so|too|quite|exactly|particularly|to|be|stop|park|wait|stand|pull|over|in)\s+){0,7}safe\b/i;
/** A safe place that they did not get to. */
const notReached =
  /\b(?:could|can|did)(?:n['’]?t| ?not)\s+(?:reach|make|get|find|see)\b[^.,;!?]{0,30}\b(?:lay-? ?by|car ?park|camp ?site|services|station|yard|drive|off the road)\b/i;

const isUnsafe = (text: string): boolean =>
  unsafe.test(text) || (midRoad.test(text) && !parkedSafely.test(text));

/** Whether words that nobody asked for tell of a place that is not safe. */
export const soundsUnsafe = (text: string): boolean =>
  !isQuestion.test(text) && (isUnsafe(text) || hardlySafe.test(text));

/**
 * What words answer to "is it a safe place to wait?": undefined when they say neither, as a question does
 * ("what is the limit on a motorway").
 */
export function safetyOf(text: string): "safe" | "unsafe" | undefined {
  if (isQuestion.test(text)) return undefined;
  if (saysNo(text) || saysNotWell(text)) return "unsafe";
  if (isUnsafe(text) || hardlySafe.test(text) || notReached.test(text)) return "unsafe";
  return safe.test(text) || saysYes(text) ? "safe" : undefined;
}
