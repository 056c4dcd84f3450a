/** Whether two values are the same as JSON. Pure. */

/**
 * Compares as they would be stored, order of keys included: for values that the same code makes, where to be taken
 * for different costs no more than to write the same once more.
 */
export const sameJson = (a: unknown, b: unknown): boolean =>
  JSON.stringify(a) === JSON.stringify(b);
