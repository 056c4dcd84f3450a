import { describe, expect, it } from "vitest";
import { gridAt } from "../../src/place/outlines.js";

/** Positions from memory, to about a kilometre; the outlines are drawn some ten kilometres out. */
const places: Record<string, Record<string, [lat: number, lon: number]>> = {
  gb: {
    Inverness: [57.478, -4.225],
    "Unst, Shetland": [60.81, -0.84],
    "Foula, Shetland": [60.14, -2.07],
    "Out Skerries, Shetland": [60.42, -0.75],
    "Fair Isle": [59.53, -1.63],
    "North Ronaldsay, Orkney": [59.38, -2.42],
    Durness: [58.57, -4.74],
    "John o' Groats": [58.64, -3.07],
    "Stornoway, Lewis": [58.21, -6.39],
    "Vatersay, Barra": [56.92, -7.53],
    "St Kilda": [57.81, -8.57],
    Tiree: [56.5, -6.88],
    "Portnahaven, Islay": [55.68, -6.51],
    "Mull of Kintyre": [55.31, -5.8],
    Campbeltown: [55.42, -5.6],
    Stranraer: [54.9, -5.02],
    Portpatrick: [54.84, -5.12],
    "Peel, Isle of Man": [54.22, -4.7],
    "Douglas, Isle of Man": [54.15, -4.48],
    Gretna: [55.0, -3.07],
    Holyhead: [53.31, -4.64],
    Aberdaron: [52.8, -4.71],
    "St Davids": [51.88, -5.27],
    "Land's End": [50.07, -5.71],
    "Hugh Town, Scilly": [49.915, -6.315],
    Lizard: [49.96, -5.2],
    "Hartland Point": [51.02, -4.53],
    "Ventnor, Wight": [50.59, -1.2],
    Dungeness: [50.91, 0.97],
    Dover: [51.13, 1.31],
    Margate: [51.39, 1.39],
    Lowestoft: [52.48, 1.76],
    Cromer: [52.93, 1.3],
    "Spurn Head": [53.58, 0.11],
    Berwick: [55.77, -2.0],
    Peterhead: [57.51, -1.78],
  },
  ie: {
    Dublin: [53.35, -6.26],
    Howth: [53.39, -6.06],
    Wexford: [52.34, -6.46],
    Rosslare: [52.25, -6.34],
    "Mizen Head": [51.45, -9.82],
    Dingle: [52.14, -10.27],
    Valentia: [51.92, -10.35],
    Clifden: [53.49, -10.02],
    "Keem, Achill": [53.97, -10.2],
    Belmullet: [54.22, -9.99],
    "Malin Head": [55.38, -7.37],
    "Bloody Foreland": [55.14, -8.28],
    "Rathlin Island": [55.3, -6.19],
    "Torr Head": [55.2, -6.06],
    Larne: [54.85, -5.81],
    Portaferry: [54.38, -5.55],
    Donaghadee: [54.64, -5.53],
    // On both sides of the border it is one grid.
    Newry: [54.18, -6.34],
    Dundalk: [54.0, -6.4],
    Derry: [54.997, -7.31],
    Muff: [55.07, -7.27],
    Lifford: [54.83, -7.48],
    Strabane: [54.827, -7.46],
  },
  none: {
    Calais: [50.96, 1.85],
    "Cap Gris-Nez": [50.87, 1.58],
    Boulogne: [50.73, 1.6],
    Dieppe: [49.92, 1.08],
    Cherbourg: [49.64, -1.62],
    Alderney: [49.71, -2.2],
    Guernsey: [49.45, -2.55],
    Jersey: [49.2, -2.1],
    Ostend: [51.23, 2.92],
    Paris: [48.857, 2.352],
    Bergen: [60.39, 5.32],
    Tórshavn: [62.01, -6.77],
    Rockall: [57.6, -13.69],
    "the middle of the North Sea": [56, 3],
    "the middle of the Irish Sea": [53.7, -5.35],
    "the middle of the North Channel": [54.75, -5.29],
    "the middle of the Channel": [50.2, -0.5],
    nowhere: [0, 0],
  },
};

describe("the grid that maps a place", () => {
  for (const [grid, of] of Object.entries(places))
    it.each(Object.entries(of))(`at %s is ${grid}`, (_name, [lat, lon]) =>
      expect(gridAt(lat, lon) ?? "none").toBe(grid),
    );
  it("is never both: the outlines do not meet", () => {
    // Ireland comes first, so a place in both would be told as Irish; Scotland must keep its west.
    for (let lat = 51; lat < 56; lat += 0.01) {
      const row = Array.from({ length: 700 }, (_, i) => gridAt(lat, -11 + i * 0.01));
      const lastIrish = row.lastIndexOf("ie");
      const firstBritish = row.indexOf("gb");
      if (lastIrish >= 0 && firstBritish >= 0) expect(lastIrish).toBeLessThan(firstBritish - 1);
    }
  });
});
