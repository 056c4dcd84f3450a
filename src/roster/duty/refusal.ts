/** A change of roster or contacts that was not saved, as a reason of the step: written and read here alone. Pure. */
import type { Reason } from "../../post.js";

const prefix = "refused: ";

/** The reason of a step that saved nothing. */
export const refusal = (why: string): Reason => `${prefix}${why}`;

/** Whether a step saved nothing. */
export const wasRefused = (because: readonly Reason[]): boolean =>
  because.some((reason) => reason.startsWith(prefix));
