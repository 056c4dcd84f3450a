/** The distance that a hire agreement allows. Pure. All distances in one unit. */

/** What is allowed for the days, and what is left of it; negative when more was driven. */
export function allowance(
  perDay: number,
  days: number,
  driven: number,
): { allowed: number; left: number } {
  const allowed = perDay * days;
  return { allowed, left: allowed - driven };
}
