/** What a provider says afterwards of a message that it had taken: it could not be delivered. */
import type { Address } from "../post.js";
import { reopenSend, sendsTo } from "../store/addresses/sends-to.js";
import { within } from "../store/open.js";
import { type DeliveryParts, settle } from "./deliveries.js";

/**
 * Marks the send to `to` whose key fits as not delivered and tells its lane, once. False: there is none
 * among the last ones. @throws what the store throws
 */
export function reportFailure(
  parts: DeliveryParts,
  to: Address,
  fits: (key: string) => boolean,
  why: string,
): Promise<boolean> {
  return within(parts.db, async (tx) => {
    const row = (await sendsTo(tx, to)).find((one) => fits(one.key));
    if (!row) return false;
    await reopenSend(tx, row.key);
    await settle({ ...parts, db: tx }, row, { kind: "refused", why });
    return true;
  });
}
