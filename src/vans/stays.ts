/** Why what is known of a hire must stay for now, and that reason as one of a step: written and read here alone. Pure. */
import type { Reason } from "../post.js";
import { blocksOf } from "./blocks.js";
import type { Van } from "./van.js";

/** The hire as far as it matters here. */
type Kept = {
  id: string;
  booking: { status: "booked" | "cancelled" };
  returnRecordAt?: number;
  callouts: readonly { n: number; state: string }[];
};

/** Whether a fault that was reported in this hire holds the van. */
const isBlockedBy = (hire: Kept, van: Van): boolean =>
  blocksOf(van, []).some(
    (b) => b.kind === "fault" && b.fault.reports.some((r) => r.hire === hire.id),
  );

/**
 * A reason in words; undefined: it may go. Facts of an open call-out and of a blocked van always stay, be it the van
 * that the hire had last or one that it gave up (`before`).
 */
export function mustStay(
  hire: Kept,
  van: Van | undefined,
  before: readonly Van[] = [],
): string | undefined {
  if (hire.booking.status !== "cancelled" && hire.returnRecordAt === undefined)
    return "the hire has not ended: its van is not checked in";
  const open = hire.callouts.find((c) => c.state !== "done");
  if (open) return `call-out ${open.n} is open`;
  if (van && isBlockedBy(hire, van))
    return "the van is blocked by a fault that was reported in this hire";
  return before.some((one) => isBlockedBy(hire, one))
    ? "a van that it gave up is blocked by a fault that was reported in this hire"
    : undefined;
}

const prefix = "kept: ";

/** The reason of a step that let nothing go. `why`: as mustStay gives it. */
export const keptBack = (why: string): Reason => `${prefix}${why}`;

/** Why a step let nothing go; undefined where it did, or was about something else. */
export const whyKept = (because: readonly Reason[]): string | undefined =>
  because.find((reason) => reason.startsWith(prefix))?.slice(prefix.length);
