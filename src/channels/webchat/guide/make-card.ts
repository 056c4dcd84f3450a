/** Makes a person's card for the visor, on their own page or at the desk: a link of its own, and its code. */
import qrcode from "qrcode";
import type { Hire } from "../../../hires/hire.js";
import type { Book } from "../../../knowledge/book.js";
import type { FirmFile } from "../../../knowledge/schema.js";
import type { Html } from "../../../pages/html.js";
import type { HireId } from "../../../post.js";
import { voiceFor } from "../../../wording/say.js";
import { viewOf } from "../message.js";
import { cardPage } from "./card.js";
import type { Shown } from "./frame.js";

export type ShownParts = { book: Book; firmNow(): Promise<{ firm: FirmFile }> };
export type CardParts = ShownParts & {
  /** Where people open this service, without a slash at the end. */
  publicUrl: string;
  /** A fresh token for a person's printed card; the one before stops working. */
  makeCardLink(hire: HireId, person: string): Promise<string>;
};

/** For whom a page of this hire is drawn, with the firm as it holds now. */
export async function shownFor(
  { book, firmNow }: ShownParts,
  { booking }: Pick<Hire, "booking">,
): Promise<Shown> {
  const { van, region, lang, zone } = booking;
  const voice = voiceFor({ ...book, firm: (await firmNow()).firm }, van.type, region, lang);
  return { voice, booking, view: viewOf(voice.book, zone, region) };
}

/** The page of the card. `atDesk`: the hire's page there, to go back to. */
export async function makeCard(
  parts: CardParts,
  hire: Pick<Hire, "id" | "booking">,
  person: string,
  atDesk?: string,
): Promise<Html> {
  const address = `${parts.publicUrl}/h/${await parts.makeCardLink(hire.id, person)}`;
  // Level Q of ISO/IEC 18004: a quarter of the code may be scratched or wet.
  const how = { type: "svg", errorCorrectionLevel: "Q", margin: 4 } as const;
  const qr = await qrcode.toString(address, how);
  return cardPage(await shownFor(parts, hire), { qr, address, atDesk });
}
