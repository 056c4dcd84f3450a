/** Which hires a notice is about. Pure. */
import type { Audience } from "../post.js";

/**
 * Whether a hire is one of those. A nation belongs to its country ("gb-sct" to "gb"); a hire of whom only the
 * country is known may be in any of its nations, so a nation's notice reaches it too.
 */
export function concernsHire(to: Audience, hire: { region: string; van_type: string }): boolean {
  const near = (a: string, b: string) => a === b || a.startsWith(`${b}-`);
  return (
    (to.vanType === undefined || to.vanType === hire.van_type) &&
    (to.region === undefined || near(to.region, hire.region) || near(hire.region, to.region))
  );
}
