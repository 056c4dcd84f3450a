/**
 * Grid references: the Ordnance Survey National Grid in Great Britain, the Irish Grid on the island of
 * Ireland. Pure.
 *
 * Accuracy: one seven-parameter shift serves the whole of each island. Against the 40 published test points
 * of the Ordnance Survey's exact transformation (OSTN15) it is wrong by 1.8 m in the middle and 4.9 m at
 * worst (tests/place/grid.test.ts), in Ireland by about a metre: less than a phone errs, and less than the
 * 10 m squares that are told.
 */
import proj4, { type Converter } from "proj4";
import { gridAt } from "./outlines.js";

type Grid = "gb" | "ie";

/** EPSG:27700 with the shift of EPSG:1314, and EPSG:29903 with the shift of EPSG:1954. */
const projections: Record<Grid, Converter> = {
  gb: proj4(
    "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=airy +towgs84=446.448,-125.157,542.06,0.15,0.247,0.842,-20.489 +units=m +no_defs",
  ),
  ie: proj4(
    "+proj=tmerc +lat_0=53.5 +lon_0=-8 +k=1.000035 +x_0=200000 +y_0=250000 +ellps=mod_airy +towgs84=482.5,-130.6,564.6,-1.042,-0.214,-0.631,8.15 +units=m +no_defs",
  ),
};

/** Metres east and north of a grid's origin, of a place in degrees (WGS 84). */
export function metresOn(grid: Grid, lat: number, lon: number): { e: number; n: number } {
  const [e = Number.NaN, n = Number.NaN] = projections[grid].forward([lon, lat]);
  return { e, n };
}

/** Squares are lettered from the north-west, five a row, without I. */
const letters = "ABCDEFGHJKLMNOPQRSTUVWXYZ";
const square = 100_000;
/** The lettered squares of 500 km begin so far west and south of the National Grid's origin. */
const west = 1_000_000;
const south = 500_000;
const letterAt = (column: number, row: number): string => letters.charAt((4 - row) * 5 + column);
const within = (metres: number, size: number): number => Math.floor(metres / size) % 5;

/** The letters of the 100 km square that a point lies in. */
function lettersAt(grid: Grid, e: number, n: number): string {
  const small = letterAt(within(e, square), within(n, square));
  return grid === "ie"
    ? small
    : letterAt(Math.floor((e + west) / (5 * square)), Math.floor((n + south) / (5 * square))) +
        small;
}

type GridRef = { grid: Grid; reference: string };

/**
 * The grid reference of a place (degrees, WGS 84); undefined at sea and abroad. `accuracyM`: how far off the
 * place may be, in metres; a vaguer place gets fewer figures. It names the square, so figures are cut, never
 * rounded (Ordnance Survey, "A guide to coordinate systems in Great Britain", 7.1).
 * @example gridOf(57.48625, -4.21926) → { grid: "gb", reference: "NH 6705 4617" }
 */
export function gridOf(lat: number, lon: number, accuracyM = 0): GridRef | undefined {
  const grid = gridAt(lat, lon);
  if (!grid) return undefined;
  const figures = accuracyM >= 1000 ? 2 : accuracyM >= 100 ? 3 : 4;
  const { e, n } = metresOn(grid, lat, lon);
  const told = (metres: number) =>
    String(Math.floor((metres % square) / 10 ** (5 - figures))).padStart(figures, "0");
  return { grid, reference: `${lettersAt(grid, e, n)} ${told(e)} ${told(n)}` };
}

/**
 * The middle of the square that a reference names, in degrees (WGS 84), and the square's side in metres.
 * One letter: Irish Grid; two: National Grid. Undefined when there is no such square on that land.
 */
export function fromGrid(
  name: string,
  east: string,
  north: string,
): { lat: number; lon: number; sideM: number } | undefined {
  const grid: Grid = name.length === 1 ? "ie" : "gb";
  const places = [...name.toUpperCase()].map((l) => letters.indexOf(l));
  if (places.includes(-1) || east.length !== north.length || east.length > 5) return undefined;
  const [small = 0, large = 0] = places.reverse();
  const column = (at: number) => at % 5;
  const row = (at: number) => 4 - Math.floor(at / 5);
  const sideM = 10 ** (5 - east.length);
  const corner = (at: (place: number) => number, begin: number) =>
    at(small) * square + (grid === "gb" ? at(large) * 5 * square - begin : 0);
  const [lon = Number.NaN, lat = Number.NaN] = projections[grid].inverse([
    corner(column, west) + Number(east) * sideM + sideM / 2,
    corner(row, south) + Number(north) * sideM + sideM / 2,
  ]);
  return gridAt(lat, lon) === grid ? { lat, lon, sideM } : undefined;
}
