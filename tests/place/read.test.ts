import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { geoUri, placeLines, placeWords } from "../../src/place/place.js";
import { coordinatesIn, placeIn, safetyOf } from "../../src/place/read.js";

describe("a place in figures", () => {
  const inverness = [
    "57.4780, -4.2240",
    "we're at 57.478,-4.224 by the loch",
    "57.478 -4.224",
    "57.478N 4.224W",
    "57.478° N, 4.224° W",
    "N57.478 W4.224",
    "N 57° 28.680' W 004° 13.440'",
    "57°28'40.8\"N 4°13'26.4\"W",
    "57 28 40.8 N 4 13 26.4 W",
    "57º28′40.8″N 4º13′26.4″W",
    "geo:57.478,-4.224;u=20",
    "https://maps.example/?q=57.478,-4.224",
    "https://maps.example/?q=57.478%2C-4.224&z=14",
    "https://maps.example/@57.478,-4.224,15z",
    "https://maps.example/#map=15/57.478/-4.224",
    "https://maps.example/?mlat=57.478&mlon=-4.224#map=6/54.910/-3.432",
    "lat 57.478 long -4.224",
    "Latitude: 57.478°, Longitude: -4.224°",
    "lng=-4.224&lat=57.478",
    "lat 57.478° N, lon 4.224° W",
    "57.478°, -4.224°",
    "57.478 N, -4.224 W",
    // Decimal commas.
    "57,47800 -4,22400",
    "57,47800, -4,22400",
    "57,47800; -4,22400",
    "https://maps.example/place/57%C2%B028'40.8%22N+4%C2%B013'26.4%22W",
    // East first: only so is it on these islands.
    "-4.224, 57.478",
    // The pin, not the middle of the map.
    "https://maps.example/place/@57.100,-4.900,9z/data=!3d57.478!4d-4.224",
  ];
  it.each(inverness)("is read from %s", (text) => {
    const found = coordinatesIn(text);
    expect(found?.lat).toBeCloseTo(57.478, 4);
    expect(found?.lon).toBeCloseTo(-4.224, 4);
  });
  it.each([
    ["57.48, -4.22", 57.48, -4.22],
    ["54.65, -5.9", undefined, undefined],
    ["48.8566, 2.3522", 48.8566, 2.3522],
    ["-33.8688, 151.2093", -33.8688, 151.2093],
  ])("of two decimals is one only in these islands: %s", (text, lat, lon) => {
    expect(coordinatesIn(text)?.lat).toBe(lat);
    expect(coordinatesIn(text)?.lon).toBe(lon);
  });
  it.each([
    ["NH 666 450", 100],
    ["nh 666 450", 100],
    ["grid ref NH666450 on the map", 100],
    ["NH 6660 4500", 10],
    ["NH66604500", 10],
    ["NH 66600 45000", 1],
    ["NH 66 45", 1000],
    ["O 159 346", 100],
    ["O1590434671", 1],
    ["N 123 456", 100],
    ["NO 123 456", 100],
    ["grid N123 456", 100],
    ["our map ref NO123456", 100],
  ])("is read from the reference %s, as near as it tells", (text, metres) =>
    expect(coordinatesIn(text)?.accuracyM).toBe(metres),
  );
  it.each([
    "tyres are 2.50, 3.20 bar",
    "ring me on 01632 960100",
    "no 01632 96010",
    "our van is SX26 ABC",
    "so 123 456",
    "No 12 34",
    "odometer 92340 miles",
    "HT 20 40 and TY 30 40",
    "99.123, 300.456",
    "57°75'N 4°13'W",
    "1.5.2026, 12:30",
    "the code is 4512 3344",
    "A9 123 456",
    "we are on the B863 150 metres from the hotel",
    "B8007 1200 yards past it",
    "R572 300",
    "R 572 300 M",
    "MEMBERSHIP NO 123456",
    "MEMBERSHIP NO 123 456",
    "BOOKING NO 1234",
    "SO 1500 MILES",
    "92,340 57,340",
  ])("is not read into %s", (text) => expect(coordinatesIn(text)).toBeUndefined());
  it("is read from any text without failing", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 300 }), (text) => {
        const found = coordinatesIn(text);
        if (found) expect(Math.abs(found.lat) <= 90 && Math.abs(found.lon) <= 180).toBe(true);
      }),
      { numRuns: 2000 },
    );
  });
});

describe("a place in words", () => {
  it.each([
    ["mile marker 34 A9", "spot"],
    ["A9 northbound just past Dalwhinnie", "spot"],
    ["junction 11 of the M90", "spot"],
    ["lay-by on the A99", "spot"],
    ["IV27 4QF", "spot"],
    ["on the B863 150 metres from the hotel", "spot"],
    ["filled.count.soap", "likely"],
    ["www.passing.example", undefined],
    ["on the A836", "road"],
    ["car park at Smoo cave", "likely"],
    ["near aviemore", "likely"],
    ["about 3 miles past Tongue", "likely"],
    ["in Ullapool", "likely"],
    ["it smells of rubber", undefined],
    ["how do I get to Inverness on the A9?", undefined],
    ["where is the nearest garage", undefined],
    ["thanks", undefined],
    ["steam from the bonnet", undefined],
  ])("%s: %s", (text, sure) => expect(placeIn(text)).toBe(sure));
  it.each([
    ["we are in a layby", "safe"],
    ["campsite car park, all fine", "safe"],
    ["hard shoulder of the M90", "unsafe"],
    ["not a very safe spot", "unsafe"],
    ["on a blind bend", "unsafe"],
    ["sheep in the middle of the road, we are parked up safely", "safe"],
    ["stopped in the middle of the road", "unsafe"],
    ["middle of the road, we could not get it parked safely", "unsafe"],
    ["not able to get safely parked, middle of the road", "unsafe"],
    ["hit a sheep, we are in the middle of the lane", "unsafe"],
    ["yes we are", "safe"],
    ["no", "unsafe"],
    ["no idea where we are", undefined],
    ["what is the speed limit on a motorway", undefined],
    ["A9 near Tomatin", undefined],
  ])("says whether it is safe to wait there: %s", (text, safety) =>
    expect(safetyOf(text)).toBe(safety),
  );
});

describe("a place as it is told", () => {
  const place = { lat: 57.48625, lon: -4.21926, accuracyM: 12.4 };
  it("has the grid reference, degrees with accuracy, and a geo link by RFC 5870", () =>
    expect(placeLines(place)).toEqual([
      "National Grid NH 6705 4617",
      "57.48625, -4.21926 (within about 12 m)",
      "geo:57.48625,-4.21926;u=12",
    ]));
  it("names the Irish Grid on the island of Ireland", () =>
    expect(placeWords({ lat: 53.349794, lon: -6.260248 })).toBe(
      "Irish Grid O 1590 3467 (53.34979, -6.26025)",
    ));
  it("has no grid abroad, and no uncertainty where none is known", () => {
    expect(placeWords({ lat: 48.8566, lon: 2.3522 })).toBe("48.85660, 2.35220");
    expect(geoUri({ lat: 48.8566, lon: 2.3522 })).toBe("geo:48.85660,2.35220");
  });
});
