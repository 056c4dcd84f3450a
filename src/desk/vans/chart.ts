/** A van's readings over time as three small drawings under one another; the same values stand in a table beside. Pure. */
import { type Instant, sayTime } from "../../calendar.js";
import { type Html, html } from "../../pages/html.js";
import type { OilMark } from "../../post.js";
import { sayKm, type Unit } from "../../reminders/distance.js";
import type { VanReading } from "../../store/care/vans.js";

const width = 340;
const left = 80;
const right = 8;
const rowHeight = 84;
const gap = 30;
/** Heights of the oil marks, 0 at the bottom of its row. */
const oilHeights: Record<OilMark, number> = {
  "below-min": 0,
  min: 0.2,
  low: 0.35,
  between: 0.55,
  max: 0.8,
  "above-max": 1,
};

type Point = { x: number; y: number };
const round = (n: number): number => Math.round(n * 10) / 10;

/** One row: a name, its scale, dots, and a line where the values run on. */
function row(
  n: number,
  name: string,
  scale: readonly (readonly [number, string])[],
  points: readonly Point[],
  isLine: boolean,
): Html {
  const top = n * (rowHeight + gap) + 26;
  const y = (share: number) => round(top + (1 - share) * (rowHeight - 16));
  return html`<g class="${name.toLowerCase().replaceAll(" ", "-")}"><text x="0" y="${top - 14}" class="name">${name}</text>${scale.map(([share, label]) => html`<line x1="${left}" x2="${width - right}" y1="${y(share)}" y2="${y(share)}" class="scale"/><text x="${left - 6}" y="${y(share) + 3}" class="at">${label}</text>`)}
${isLine && points.length > 1 ? html`<polyline points="${points.map((p) => `${round(p.x)},${y(p.y)}`).join(" ")}"/>` : ""}${points.map((p) => html`<circle cx="${round(p.x)}" cy="${y(p.y)}" r="3"/>`)}</g>`;
}

/** Draws what was read, the oldest at the left; undefined where fewer than two readings are there to compare. */
export function historyChart(
  readings: readonly VanReading[],
  unit: Unit,
  now: Instant,
  zone: string,
): Html | undefined {
  const [first] = readings;
  const last = readings.at(-1);
  if (!first || !last || first.at === last.at) return undefined;
  const x = (at: number) =>
    left + ((at - first.at) / (last.at - first.at)) * (width - left - right);
  const pointsOf = (value: (r: VanReading) => number | undefined): Point[] =>
    readings.flatMap((r) => {
      const y = value(r);
      return y === undefined ? [] : [{ x: x(r.at), y }];
    });
  const kms = readings.flatMap((r) => (r.odometerKm === undefined ? [] : [r.odometerKm]));
  const [low, high] = [Math.min(...kms), Math.max(...kms)];
  const span = Math.max(1, high - low);
  const rows: ((n: number) => Html)[] = [];
  if (kms.length > 0)
    rows.push((n) =>
      row(
        n,
        "Odometer",
        high === low
          ? [[0, sayKm(low, unit)]]
          : [
              [0, sayKm(low, unit)],
              [1, sayKm(high, unit)],
            ],
        pointsOf((r) => (r.odometerKm === undefined ? undefined : (r.odometerKm - low) / span)),
        true,
      ),
    );
  const oil = pointsOf((r) => (r.oil === undefined ? undefined : oilHeights[r.oil]));
  if (oil.length > 0)
    rows.push((n) =>
      row(
        n,
        "Oil",
        [
          [oilHeights.min, "bottom"],
          [oilHeights.max, "top mark"],
        ],
        oil,
        false,
      ),
    );
  const fluid = pointsOf((r) => r.fluid);
  if (fluid.length > 0)
    rows.push((n) =>
      row(
        n,
        "Exhaust fluid",
        [
          [0, "empty"],
          [1, "full"],
        ],
        fluid,
        true,
      ),
    );
  if (rows.length === 0) return undefined;
  const height = rows.length * (rowHeight + gap) + 14;
  return html`<svg class="history" viewBox="0 0 ${width} ${height}" role="img" aria-label="Odometer, oil and exhaust fluid over time; the table holds the same values">${rows.map((draw, n) => draw(n))}
<text x="${left}" y="${height - 2}" class="day">${sayTime(first.at, now, zone)}</text><text x="${width - right}" y="${height - 2}" class="day end">${sayTime(last.at, now, zone)}</text></svg>`;
}
