/** A place that a hirer shared or wrote, and how it is told. Pure. */
import type { Instant } from "../calendar.js";
import { gridOf } from "./grid.js";

export type Place = {
  /** Degrees, WGS 84. */
  lat: number;
  lon: number;
  /** When the phone was there, as far as is known. */
  at: Instant;
  /** How far off it may be, in metres, where the phone or the reference tells. */
  accuracyM?: number | undefined;
  /** The person of the hire who told it. */
  by?: string;
};

/** What a hirer wrote of where they are: "A9 northbound by marker post 34". */
export type PlaceWords = { words: string; at: Instant; by: string };

const gridNames = { gb: "National Grid", ie: "Irish Grid" } as const;

/** "National Grid NH 6705 4617"; undefined at sea and abroad. */
export function gridLine({ lat, lon, accuracyM }: Omit<Place, "at">): string | undefined {
  const found = gridOf(lat, lon, accuracyM);
  return found && `${gridNames[found.grid]} ${found.reference}`;
}

/** Latitude and longitude with five decimals: about a metre. */
export const degrees = ({ lat, lon }: { lat: number; lon: number }): string =>
  `${lat.toFixed(5)}, ${lon.toFixed(5)}`;

/** "within about 12 m"; empty where nothing is known of it. */
export function accuracyWords({ accuracyM }: { accuracyM?: number | undefined }): string {
  if (accuracyM === undefined || !(accuracyM > 0)) return "";
  return accuracyM < 1000
    ? `within about ${Math.max(1, Math.round(accuracyM))} m`
    : `within about ${(accuracyM / 1000).toFixed(1)} km`;
}

/** RFC 5870: "geo:57.48625,-4.21926;u=12". `u` is the uncertainty in metres. */
export function geoUri({ lat, lon, accuracyM }: Omit<Place, "at">): string {
  const u =
    accuracyM !== undefined && accuracyM > 0 ? `;u=${Math.max(1, Math.round(accuracyM))}` : "";
  return `geo:${lat.toFixed(5)},${lon.toFixed(5)}${u}`;
}

/** A place in full, a line each: the grid reference, latitude and longitude with accuracy, the map link. */
export function placeLines(place: Omit<Place, "at">): string[] {
  const grid = gridLine(place);
  const accuracy = accuracyWords(place);
  return [
    ...(grid ? [grid] : []),
    `${degrees(place)}${accuracy ? ` (${accuracy})` : ""}`,
    geoUri(place),
  ];
}

/** A place in one line, to read out: "National Grid NH 6705 4617 (57.48625, -4.21926, within about 12 m)". */
export function placeWords(place: Omit<Place, "at">): string {
  const grid = gridLine(place);
  const rest = [degrees(place), accuracyWords(place)].filter(Boolean).join(", ");
  return grid ? `${grid} (${rest})` : rest;
}
