/** The part of the library that units.ts calls; it ships no types of its own. */
declare module "js-quantities" {
  const Qty: (quantity: string) => { to(unit: string): { scalar: number } };
  export default Qty;
}
