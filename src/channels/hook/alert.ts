/** An alert as a telephone or text provider needs it: whom, how urgent, what to say, where to look. Pure. */
import { type Book, homeCode } from "../../knowledge/book.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { hireIn } from "../../lanes.js";
import { e164 } from "../../phone.js";
import type { LaneId, Send } from "../../post.js";

/** The JSON that the staff hook posts; README.md tells what each field is for. */
type Alert = {
  type: "alert";
  id: string;
  contact: { id: string; name: string; phone: string };
  /** True: ring. False: a text is enough. */
  ring: boolean;
  severity: Send["severity"] | null;
  /** One short text, to be read aloud or sent. */
  say: string;
  /** All of it, for channels that can carry it. */
  text: string;
  /** What may be pressed, and answered with its key. */
  keys: { key: number; label: string }[];
  hire: string | null;
  callout: number | null;
  /** The staff page. */
  desk: string;
};

/** A voice needs half a minute for so many letters (about 150 words a minute: common practice, no source). */
const mostSaid = 350;

/** Cut at a word. */
function short(text: string): string {
  if (text.length <= mostSaid) return text;
  const head = text.slice(0, mostSaid);
  return `${head.slice(0, Math.max(head.lastIndexOf(" "), mostSaid / 2)).trimEnd()} …`;
}

/** The first two lines of what staff read: the matter, and the van and its people; not what was said of it. */
function spoken(firm: FirmFile, text: string, keys: Alert["keys"]): string {
  const [matter = "", van = ""] = text.replace(/ ?\bSaid: ".*"/s, "").split("\n");
  const what = keys.length > 0 && van ? `${matter}. ${van}.` : matter;
  const press = keys.map(({ key, label }) => ` Press ${key}: ${label}.`).join("");
  return `${firm.name}: ${short(what)}${press}`;
}

/** A send to a contact as an alert. `firm`: as it holds now. */
export function alertOf(
  send: Send,
  id: string,
  lane: LaneId,
  { book, firm, publicUrl }: { book: Book; firm: FirmFile; publicUrl: string },
): Alert {
  const contact = send.contact ?? send.to.to;
  const { name = contact, phone = "" } = firm.contacts[contact] ?? {};
  const { text, buttons = [] } = send.message;
  const keys = buttons.map(({ label }, i) => ({ key: i + 1, label }));
  return {
    type: "alert",
    id,
    contact: { id: contact, name, phone: e164(phone, homeCode(book)) ?? phone },
    ring: send.ring ?? false,
    severity: send.severity ?? null,
    say: spoken(firm, text, keys),
    text,
    keys,
    hire: hireIn(lane) ?? null,
    callout: send.callout ?? null,
    desk: `${publicUrl}/desk`,
  };
}
