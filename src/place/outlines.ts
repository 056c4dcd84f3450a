/** Which land a place is on: coarse outlines, drawn some ten kilometres out to sea. Pure. */

type Corner = readonly [lat: number, lon: number];

/**
 * Corners in degrees, WGS 84. Bays, sounds and lighthouses near the coast lie inside; the open sea, the
 * Channel Islands, Rockall and the continent outside. Drawn by hand between headlands (their positions from
 * memory, checked by tests/place/outlines.test.ts), so a few kilometres either way at sea mean nothing.
 */
const ireland: readonly Corner[] = [
  [55.5, -7.9],
  [55.5, -6.75],
  [55.36, -6.05],
  [55.2, -5.93],
  [54.95, -5.5],
  [54.68, -5.36],
  [54.4, -5.25],
  [54.0, -5.3],
  [53.3, -5.8],
  [52.1, -5.95],
  [51.9, -6.4],
  [51.3, -9.3],
  [51.3, -10.2],
  [51.75, -10.75],
  [52.2, -10.8],
  [53.5, -10.45],
  [54.35, -10.4],
  [54.6, -9.0],
  [55.05, -8.75],
  [55.35, -8.4],
];

/** Great Britain with the Isle of Man and every island that the National Grid maps. */
const britain: readonly Corner[] = [
  [49.78, -6.6],
  [50.0, -6.6],
  [50.2, -6.0],
  [51.55, -5.8],
  [51.8, -5.8],
  [52.75, -5.0],
  [53.45, -4.85],
  [54.0, -5.0],
  [54.3, -4.95],
  [54.6, -5.15],
  [54.75, -5.22],
  [55.02, -5.3],
  [55.22, -5.86],
  [55.35, -5.92],
  [55.52, -6.3],
  [55.58, -6.65],
  [56.3, -7.2],
  [56.7, -7.8],
  [57.75, -8.8],
  [57.95, -8.75],
  [58.35, -7.8],
  [59.15, -6.35],
  [59.25, -5.7],
  [59.45, -3.6],
  [60.0, -2.35],
  [60.25, -2.3],
  [60.5, -1.9],
  [60.95, -1.1],
  [60.95, -0.6],
  [60.4, -0.5],
  [59.8, -1.0],
  [59.4, -1.4],
  [59.2, -2.2],
  [58.6, -2.6],
  [57.65, -1.6],
  [57.3, -1.6],
  [56.4, -2.2],
  [55.95, -1.95],
  [55.7, -1.45],
  [55.0, -1.2],
  [54.55, -0.4],
  [54.15, 0.1],
  [53.6, 0.3],
  [53.05, 0.9],
  [53.0, 1.5],
  [52.75, 1.9],
  [52.45, 1.95],
  [51.95, 1.75],
  [51.35, 1.6],
  [51.1, 1.52],
  [50.85, 1.1],
  [50.65, 0.3],
  [50.48, -1.3],
  [50.42, -2.5],
  [50.12, -3.6],
  [50.05, -4.4],
  [49.85, -5.2],
];

/** Whether an outline holds a place: a line due east of it crosses the outline an odd number of times. */
function holds(outline: readonly Corner[], lat: number, lon: number): boolean {
  let inside = false;
  let from = outline.at(-1);
  for (const to of outline) {
    if (from && from[0] > lat !== to[0] > lat) {
      const crossing = from[1] + ((lat - from[0]) / (to[0] - from[0])) * (to[1] - from[1]);
      if (lon < crossing) inside = !inside;
    }
    from = to;
  }
  return inside;
}

/** The grid that maps the land at a place (degrees, WGS 84); undefined at sea and abroad. */
export function gridAt(lat: number, lon: number): "gb" | "ie" | undefined {
  if (holds(ireland, lat, lon)) return "ie";
  return holds(britain, lat, lon) ? "gb" : undefined;
}
