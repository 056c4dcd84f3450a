/** The part of `geodesy` that tests compare with; it brings no types. */
declare module "geodesy/osgridref.js" {
  export class LatLon {
    constructor(lat: number, lon: number);
    lat: number;
    lon: number;
    toOsGrid(): OsGridRef;
  }
  export default class OsGridRef {
    constructor(easting: number, northing: number);
    easting: number;
    northing: number;
    toString(digits?: number): string;
    toLatLon(): LatLon;
  }
}
declare module "geodesy/latlon-ellipsoidal-datum.js" {
  type Datum = { ellipsoid: { a: number; b: number; f: number } };
  export default class LatLonDatum {
    constructor(lat: number, lon: number, height?: number, datum?: Datum);
    lat: number;
    lon: number;
    convertDatum(to: Datum | undefined): LatLonDatum;
    static datums: Record<string, Datum>;
  }
}
