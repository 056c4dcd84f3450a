/** Why what is known of a hire must stay for now. Pure. */
import { blocksOf } from "./blocks.js";
import type { Van } from "./van.js";

/** The hire as far as it matters here. */
export type Kept = {
  id: string;
  booking: { status: "booked" | "cancelled" };
  returnRecordAt?: number;
  callouts: readonly { n: number; state: string }[];
};

/** A reason in words; undefined: it may go. Facts of an open call-out and of a blocked van always stay. */
export function mustStay(hire: Kept, van: Van | undefined): string | undefined {
  if (hire.booking.status !== "cancelled" && hire.returnRecordAt === undefined)
    return "the hire has not ended: its van is not checked in";
  const open = hire.callouts.find((c) => c.state !== "done");
  if (open) return `call-out ${open.n} is open`;
  const blocked = van
    ? blocksOf(van, []).some(
        (b) => b.kind === "fault" && b.fault.reports.some((r) => r.hire === hire.id),
      )
    : false;
  return blocked ? "the van is blocked by a fault that was reported in this hire" : undefined;
}
