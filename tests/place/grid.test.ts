import fc from "fast-check";
import LatLonDatum from "geodesy/latlon-ellipsoidal-datum.js";
import OsGridRef, { LatLon } from "geodesy/osgridref.js";
import proj4 from "proj4";
import { describe, expect, it } from "vitest";
import { fromGrid, gridOf, metresOn } from "../../src/place/grid.js";
import { gridAt } from "../../src/place/outlines.js";

/**
 * Ordnance Survey, OSTN15 test points (OSTN15_OSGM15_TestInput_ETRStoOSGB.txt and its output): ETRS89 latitude
 * and longitude, National Grid easting and northing by the exact transformation.
 * Contains OS data © Crown copyright and database rights, Ordnance Survey 2016.
 */
const published: [lat: number, lon: number, e: number, n: number][] = [
  [49.92226394, -6.29977752, 91492.146, 11318.804],
  [49.96006138, -5.2030461, 170370.718, 11572.405],
  [50.43885826, -4.10864564, 250359.811, 62016.569],
  [50.57563665, -1.29782277, 449816.371, 75335.861],
  [50.93127938, -1.45051434, 438710.92, 114792.25],
  [51.4007822, -3.55128349, 292184.87, 168003.465],
  [51.37447026, 1.4445473, 639821.835, 169565.858],
  [51.42754743, -2.54407618, 362269.991, 169978.69],
  [51.48936565, -0.11992557, 530624.974, 178388.464],
  [51.85890896, -4.30852477, 241124.584, 220332.641],
  [51.89436637, 0.89724327, 599445.59, 225722.826],
  [52.25529382, -2.15458614, 389544.19, 261912.153],
  [52.25160951, -0.91248957, 474335.969, 262047.755],
  [52.75136687, 0.40153547, 562180.547, 319784.995],
  [52.96219109, -1.19747656, 454002.834, 340834.943],
  [53.3448028, -2.64049321, 357455.843, 383290.436],
  [53.41628516, -4.2891807, 247958.971, 393492.909],
  [53.41630925, -4.28917793, 247959.241, 393495.583],
  [53.77911026, -3.04045491, 331534.564, 431920.794],
  [53.8002152, -1.66379168, 422242.186, 433818.701],
  [54.08666318, -4.63452168, 227778.33, 468847.388],
  [54.11685144, -0.07773133, 525745.67, 470703.214],
  [54.32919541, -4.38849118, 244780.636, 495254.887],
  [54.8954234, -2.93827741, 339921.145, 556034.761],
  [54.97912274, -1.61657685, 424639.355, 565012.703],
  [55.85399953, -4.29649016, 256340.925, 664697.269],
  [55.92478266, -3.29479219, 319188.434, 670947.534],
  [57.00606696, -5.82836692, 167634.202, 797067.144],
  [57.13902519, -2.04856031, 397160.491, 805349.736],
  [57.48625001, -4.21926399, 267056.768, 846176.972],
  [57.81351838, -8.57854456, 9587.909, 899448.996],
  [58.21262247, -7.59255561, 71713.132, 938516.404],
  [58.51560361, -6.26091456, 151968.652, 966483.78],
  [58.58120461, -3.72631022, 299721.891, 967202.992],
  [59.03743871, -3.21454001, 330398.323, 1017347.016],
  [59.09335035, -4.41757675, 261596.778, 1025447.602],
  [59.09671617, -5.8279934, 180862.461, 1029604.114],
  [59.53470794, -1.62516966, 421300.525, 1072147.239],
  [59.85409914, -1.2748691, 440725.073, 1107878.448],
  [60.13308092, -2.07382823, 395999.668, 1138728.951],
];
const off = (lat: number, lon: number, e: number, n: number) => {
  const got = metresOn("gb", lat, lon);
  return Math.hypot(got.e - e, got.n - n);
};

describe("the National Grid", () => {
  it("is projected as in the worked example of the Ordnance Survey", () => {
    // "A guide to coordinate systems in Great Britain", annex C: Caister water tower, on the Airy ellipsoid.
    const airy =
      "+proj=longlat +ellps=airy +towgs84=446.448,-125.157,542.06,0.15,0.247,0.842,-20.489 +no_defs";
    const [lon = 0, lat = 0] = proj4(airy, "WGS84", [
      1 + 43 / 60 + 4.5177 / 3600,
      52 + 39 / 60 + 27.2531 / 3600,
    ]);
    const { e, n } = metresOn("gb", lat, lon);
    expect(e).toBeCloseTo(651409.903, 2);
    expect(n).toBeCloseTo(313177.27, 2);
    expect(gridOf(lat, lon)).toEqual({ grid: "gb", reference: "TG 5140 1317" });
  });
  it("is told within five metres of the exact transformation at all 40 published points", () => {
    const errors = published.map((p) => off(...p)).sort((a, b) => a - b);
    expect(errors).toHaveLength(40);
    expect(errors.at(-1)).toBeLessThan(5);
    expect(errors[20]).toBeLessThan(2);
  });
  it("covers all 40 published points, from Scilly and St Kilda to Shetland and the Isle of Man", () => {
    for (const [lat, lon] of published)
      expect([lat, lon, gridAt(lat, lon)]).toEqual([lat, lon, "gb"]);
  });
  it("equals the reference of geodesy all over Great Britain", () => {
    let compared = 0;
    for (let lat = 49.9; lat < 61; lat += 0.13)
      for (let lon = -8.6; lon < 1.9; lon += 0.17) {
        if (gridAt(lat, lon) !== "gb") continue;
        const theirs = new LatLon(lat, lon).toOsGrid();
        const { e, n } = metresOn("gb", lat, lon);
        // Their northing is rounded to a centimetre.
        expect(Math.hypot(e - theirs.easting, n - theirs.northing)).toBeLessThan(0.1);
        const near = (metres: number) => Math.min(metres % 10, 10 - (metres % 10)) < 0.1;
        if (!near(e) && !near(n)) expect(gridOf(lat, lon)?.reference).toBe(theirs.toString(8));
        compared++;
      }
    expect(compared).toBeGreaterThan(1500);
  });
  it("reads a reference back to the middle of its square, as geodesy does to its corner", () => {
    const at = fromGrid("NH", "666", "450");
    const theirs = new OsGridRef(266600 + 50, 845000 + 50).toLatLon();
    expect(at?.lat).toBeCloseTo(theirs.lat, 6);
    expect(at?.lon).toBeCloseTo(theirs.lon, 6);
    expect(at?.sideM).toBe(100);
  });
});

describe("the Irish Grid", () => {
  it("puts the Spire of Dublin where it is published", () => {
    // Published as Irish Grid 315904, 234671 and as Irish Transverse Mercator 715830, 734697 (ETRS89, so no shift).
    const itm =
      "+proj=tmerc +lat_0=53.5 +lon_0=-8 +k=0.99982 +x_0=600000 +y_0=750000 +ellps=GRS80 +units=m +no_defs";
    const [lon = 0, lat = 0] = proj4(itm, "WGS84", [715830, 734697]);
    const { e, n } = metresOn("ie", lat, lon);
    expect(Math.hypot(e - 315904, n - 234671)).toBeLessThan(1);
    expect(gridOf(lat, lon)).toEqual({ grid: "ie", reference: "O 1590 3467" });
  });
  it("shifts the datum as geodesy does", () => {
    // Theirs is projected by the plain formula on the Irish ellipsoid, without a shift of ours.
    const plain =
      "+proj=tmerc +lat_0=53.5 +lon_0=-8 +k=1.000035 +x_0=200000 +y_0=250000 +ellps=mod_airy +units=m +no_defs";
    const onAiry = "+proj=longlat +ellps=mod_airy +no_defs";
    for (let lat = 51.5; lat < 55.4; lat += 0.4)
      for (let lon = -10; lon < -5.6; lon += 0.4) {
        const there = new LatLonDatum(lat, lon).convertDatum(LatLonDatum.datums["Irl1975"]);
        const [e = 0, n = 0] = proj4(onAiry, plain, [there.lon, there.lat]);
        const ours = metresOn("ie", lat, lon);
        expect(Math.hypot(ours.e - e, ours.n - n)).toBeLessThan(0.5);
      }
  });
});

describe("a grid reference", () => {
  it("has fewer figures where the place is vaguer", () => {
    expect(gridOf(57.48625, -4.21926)?.reference).toBe("NH 6705 4617");
    expect(gridOf(57.48625, -4.21926, 250)?.reference).toBe("NH 670 461");
    expect(gridOf(57.48625, -4.21926, 3000)?.reference).toBe("NH 67 46");
  });
  it("names a square that holds the place, wherever it is", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 49.8, max: 61, noNaN: true }),
        fc.double({ min: -11, max: 2, noNaN: true }),
        (lat, lon) => {
          const found = gridOf(lat, lon);
          if (!found) return;
          const [name = "", east = "", north = ""] = found.reference.split(" ");
          const square = fromGrid(name, east, north);
          // At the edge of an outline the middle of the square may lie just outside.
          if (!square) return;
          const a = metresOn(found.grid, lat, lon);
          const b = metresOn(found.grid, square.lat, square.lon);
          expect(Math.abs(a.e - b.e)).toBeLessThanOrEqual(5.01);
          expect(Math.abs(a.n - b.n)).toBeLessThanOrEqual(5.01);
        },
      ),
      { numRuns: 2000 },
    );
  });
  it("of no land is none", () => {
    expect(fromGrid("WV", "500", "500")).toBeUndefined();
    expect(fromGrid("IH", "500", "500")).toBeUndefined();
    expect(fromGrid("NH", "50", "500")).toBeUndefined();
    expect(fromGrid("E", "500", "500")).toBeUndefined();
  });
});
