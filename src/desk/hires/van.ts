/** The van that a form gives a hire: whether it is of that type, and what keeps it from going out. */
import { clashesOf } from "../../bookings/change.js";
import type { Instant } from "../../calendar.js";
import type { Book } from "../../knowledge/book.js";
import { type Html, html } from "../../pages/html.js";
import type { Booking } from "../../post.js";
import { hiresAround, notBackBefore, vanOf } from "../../store/care/vans.js";
import { vansKnown } from "../../store/hires.js";
import type { Db } from "../../store/tables.js";
import { type Block, blocksOf } from "../../vans/blocks.js";
import { newVan } from "../../vans/van.js";
import { blockedLine } from "../vans/blocks.js";
import { clashesHtml } from "./change-page.js";
import type { Wrong } from "./form.js";

type OfHire = Booking["van"];

/** What the tick sends that answers the question below: it holds for this plate and this type alone. */
const sureOf = ({ registration, type }: OfHire): string => `${registration} ${type}`;

/**
 * What to ask where a known van is given another type: its hirers would get the height and the safety points of that
 * type. `sure`: what the form's tick sent. Undefined: nothing is to be asked.
 */
export async function typeAsked(
  db: Db,
  book: Book,
  van: OfHire,
  sure: unknown,
): Promise<Wrong | undefined> {
  const known = (await vansKnown(db)).find((v) => v.registration === van.registration);
  const was = known && known.type !== van.type ? book.vans.get(known.type) : undefined;
  if (!was || sure === sureOf(van)) return undefined;
  const name = book.vans.get(van.type)?.name ?? van.type;
  return {
    type: `${van.registration} was a ${was.name} until now. Choose that, or tick that it is a ${name}.`,
    sure: sureOf(van),
  };
}

/** What keeps the van of a booking from going out with it at an instant. */
export async function blocksAt(db: Db, { hire, van }: Booking, at: Instant): Promise<Block[]> {
  const { registration, type } = van;
  const known = (await vanOf(db, registration)) ?? newVan(registration, type);
  return blocksOf(known, await notBackBefore(db, registration, hire, at));
}

/** What stands in the way of a new hire: who else has its van then, and that the van may not go out. Empty: nothing. */
export async function besidesHtml(db: Db, booking: Booking, now: Instant): Promise<Html> {
  const { van, pickupAt, returnAt, zone } = booking;
  const others = await hiresAround(db, van.registration, pickupAt, returnAt);
  const clashes = clashesOf(booking, others);
  const blocks = await blocksAt(db, booking, pickupAt);
  return html`${clashes.length > 0 ? clashesHtml(clashes, now, zone) : ""}${blockedLine(blocks, van.registration, false)}`;
}
