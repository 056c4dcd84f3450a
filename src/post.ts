/** What may come in (Arrival) and what may go out (Send, Due): types, and how long words may be. Every channel and room speaks them. */
import type { Instant } from "./calendar.js";
import type { Keeping } from "./knowledge/firm/keeping.js";
import type { ContactChange, Roster } from "./knowledge/firm/roster.js";
import type { Severity } from "./severity.js";
import type { Handover } from "./vans/handover.js";
import type { VanAct } from "./vans/van.js";

declare const brand: unique symbol;
/** "hire:<id>" for a hire, "van:<registration>" for a van, "chat:<channel>:<to>" for somebody without a hire, "firm" for the firm. */
export type LaneId = string & { readonly [brand]: "lane" };
export type HireId = string & { readonly [brand]: "hire" };

/** Where a message goes or came from. `to`: chat id, person id, contact id or phone number. */
export type Address = { channel: "telegram" | "web" | "desk" | "hook" | "gateway"; to: string };

/**
 * Letters of a hirer's message, UTF-16 units, on every channel: all that Telegram carries (Bot API, sendMessage),
 * and longer than anyone writes. What is kept is read whole, so no danger stands where nobody looks.
 */
export const mostLetters = 4_096;

/** Who wrote: `person` is known once the lane is a hire's. */
export type Sender = { person?: string; name?: string; via: Address };

/** Telegram's own kinds of files; one is sent on only as the kind that it is. */
export type TelegramFile =
  | "photo"
  | "voice"
  | "audio"
  | "video"
  | "video_note"
  | "animation"
  | "document"
  | "sticker";
/** A photo or other file that came in: its name in our file store or, where Telegram keeps it, at Telegram. */
export type FileRef = { id: string; kind: string; bytes?: number; telegram?: TelegramFile };

/** What makes an answer more urgent: an unsafe place, or somebody in need ("some": not said how). */
export type Need =
  | "unsafe-place"
  | "child"
  | "alone"
  | "cold-dark"
  | "medical"
  | "phone-flat"
  | "some";
/** Who and what is in the van, and where its key is, as far as staff have asked. */
export type Aboard = { people?: number; childSeats?: number; pets?: string; key?: string };

/** Numbers on the marks of a van: kilometres, parts of a tank 0–1. */
export type OilMark = "above-max" | "max" | "between" | "low" | "min" | "below-min";
export type Reading = {
  at: Instant;
  by: string;
  /** The person of the hire who told it; absent: staff read it, or it is from before this was kept. */
  person?: string;
  odometerKm?: number;
  oil?: OilMark;
  /** Share of the tank, 0–1. */
  fluid?: number;
  fuel?: number;
  note?: string;
};

/** A booking as the desk, the demo or a script gives it; times already instants. */
export type Booking = {
  hire: HireId;
  van: { registration: string; type: string };
  pickupAt: Instant;
  returnAt: Instant;
  zone: string;
  region: string;
  lang: string;
  people: { id: string; name: string; booker: boolean; phone?: string }[];
  surname: string;
  status: "booked" | "cancelled";
  /** What is known of the van at pick-up and before. */
  readings?: Reading[];
  /** Reminders that went out already, by rule and the rule's own time. */
  sent?: { rule: string; due: Instant }[];
};

/** What changes of a booking; what is absent stays. `people`: all of them, who booked it first. */
export type BookingChange = Partial<
  Pick<Booking, "van" | "pickupAt" | "returnAt" | "zone" | "region" | "lang" | "surname" | "status">
> & { people?: readonly { name: string; phone?: string }[] };

/** Whom a notice is about: all, or those in a country or nation, or with a van type. */
export type Audience = { region?: string; vanType?: string };
/** What staff tell many hires at once, in their own words. After `until`, or to others than `to`, it is not told any more. */
export type Notice = { id: string; title: string; text: string; until?: Instant; to?: Audience };

/** What a member of staff does to a hire or a call-out. Minutes and instants are absolute. */
export type DeskAct =
  | { do: "take"; callout: number }
  | { do: "pass"; callout: number; to: string }
  | { do: "promise"; callout: number; at: Instant }
  /** `to`: the call-out that it is joined to, with the outcome "joined". */
  | { do: "done"; callout: number; outcome: string; note?: string; to?: number }
  | { do: "note"; callout?: number; note: string }
  /** To one person of the hire, or to "all"; without one, to whoever raised the call-out, else the booker where it is theirs too. `via`: the contact is told there that it was sent. */
  | { do: "reply"; text: string; person?: string; callout?: number; via?: Address }
  | { do: "notice"; notice: Notice }
  /** A notice goes out no more; whoever was told it keeps it. */
  | { do: "notice-end"; id: string }
  /** On the phone with the hirer now. */
  | { do: "phone"; callout: number }
  /** Has spoken with the hirer. */
  | { do: "heard"; callout: number }
  /** Declines the offers of others to take it. */
  | { do: "keep"; callout: number }
  /** Roadside assistance was asked; what it said of itself; `came`: it is there. */
  | { do: "roadside"; callout: number; reference?: string; arrivesAt?: Instant; came?: boolean }
  | { do: "aboard"; callout: number; aboard: Aboard }
  /** Wants to be shown the card to read out, or the outcomes to choose from. */
  | { do: "show"; callout: number; what: "card" | "outcomes" }
  /** A contact has heard or read of it, and has not taken it (yet). */
  | { do: "read"; callout: number }
  | { do: "pickup-record"; reading: Reading; handover: Handover }
  | { do: "return-record"; reading: Reading; handover?: Handover }
  /**
   * A telephone call as staff write it down. `who` rang; `person`: where they are of the hire. `opens`: a
   * call-out, kept by whoever took the call (`mine`), with a promised ring, or put to the others.
   */
  | {
      do: "call";
      person?: string;
      who: string;
      about: string;
      outcome: string;
      opens?: { severity: Severity; mine: boolean; ringAt?: Instant };
    }
  /** The return record was not of this hire: its van is still out. */
  | { do: "not-back" }
  /** Asks the people of the hire for photos: the van stands at the key box. */
  | { do: "ask-photos" }
  /** A person's link was made anew: nobody reads or writes by the one before, on whatever channel. */
  | { do: "new-link"; person: string }
  /** Looks after what somebody without a hire wrote in danger. Lane of a chat only. */
  | { do: "seen" };

/**
 * What a member of staff does to the firm's roster, contacts and shifts. `base`: the version that they saw;
 * when it is another one meanwhile, nothing is changed. `says`: the change in words, for the trip log.
 */
export type FirmAct =
  | { do: "roster"; base: number; roster: Roster; says: string }
  | { do: "contact"; base: number; contact: string; change: ContactChange; says: string }
  | { do: "here"; test: number }
  | { do: "stand-in"; test: number }
  | { do: "off"; to?: string }
  | { do: "stay" };

/** What a due row was set for. */
export type Matter =
  | { kind: "reminder"; keys: string[] }
  | { kind: "next-contact"; callout: number }
  | { kind: "promise"; callout: number }
  | { kind: "hear-from"; callout: number }
  | { kind: "phone"; callout: number }
  | { kind: "roadside"; callout: number }
  | { kind: "offer"; callout: number }
  | { kind: "reply-missing"; key: string }
  /** Whether a person's words tell of a danger was asked, and is not answered. */
  | { kind: "doubt"; person: string }
  /** A voice message or the like came, and no words after it. */
  | { kind: "unread"; person: string }
  /** `from` has gone off duty, or wants to (then `to` is asked): the matter is offered to the next person. */
  | { kind: "hand-over"; callout: number; from: string; to?: string }
  /** Staff are to ring the hirer about checks that nobody answered. */
  | { kind: "ring-today"; callout: number }
  /** A notice waits for the pick-up. */
  | { kind: "notice"; id: string }
  /** Nobody of staff has seen yet what somebody without a hire wrote in danger. */
  | { kind: "stranger" }
  /** Of the firm: a shift starts or ends; a test alert is still not answered. */
  | { kind: "shift" }
  | { kind: "shift-test"; test: number };

export type ArrivalBody =
  /** `typed`: the numbers that stood for words of it in a text message. */
  | { kind: "said"; from: Sender; text: string; typed?: string; edited?: boolean }
  /** `typed`: the number or label that stood for the button in a text message. */
  | { kind: "tapped"; from: Sender; tap: string; typed?: string }
  /** `edited`: of what came before, its caption or the file itself was changed. */
  | { kind: "photo"; from: Sender; file: FileRef; caption?: string; edited?: boolean }
  /** Degrees, WGS 84; metres. `live`: the phone goes on sending its place as it moves. */
  | {
      kind: "located";
      from: Sender;
      lat: number;
      lon: number;
      accuracyM?: number;
      live?: "began" | "moved";
      /** What the hirer's map calls it. */
      name?: string;
    }
  | { kind: "unreadable"; from: Sender; what: string; file?: FileRef; edited?: boolean }
  /** `to`: in the lane of a chat that has left it, the lane of the hire that it joined. */
  | { kind: "joined"; from: Sender; to?: LaneId }
  | { kind: "booked"; booking: Booking }
  /**
   * `by`: a contact's id, or the name of the program. `pushed`: by a program or file, with whom it named before.
   * `putsRight`: the registration was written wrong, of whichever van is out.
   */
  | {
      kind: "changed";
      by: string;
      change: BookingChange;
      pushed?: { people: NonNullable<BookingChange["people"]> };
      putsRight?: true;
    }
  | { kind: "due"; due: string; generation: number; matter: Matter }
  | { kind: "desk"; by: string; act: DeskAct }
  | { kind: "firm"; by: string; act: FirmAct }
  /** What is known of the hire goes, or of one person of it. `by`: a contact, or "keeping" for its time. */
  | { kind: "forget"; by: string; what: Keeping; person?: string }
  /** The service has started: the firm's lane looks at its roster. */
  | { kind: "opened" }
  /** `by`: a contact's id or, for a report, who told it. Lane of a van only. */
  | { kind: "van"; by: string; registration: string; type: string; act: VanAct }
  /** A send that could not be delivered; a safety message moves on to the next contact or, to a hirer, to another way. */
  | { kind: "undelivered"; send: string; to: Address; callout?: number; hirer?: LostToHirer };

/**
 * A safety message for a person of the hire. `waits`: it is still tried; `onlyStaff`: the lane heard so before, or it is
 * too old to be told any more.
 */
export type LostToHirer = {
  person: string;
  message: Message;
  madeAt: Instant;
  waits?: true;
  onlyStaff?: true;
};

/** One thing that happened to a lane. The same key twice acts once. */
export type Arrival = {
  key: string;
  lane: LaneId;
  receivedAt: Instant;
  /** When the hirer wrote it, where the channel tells. */
  writtenAt?: Instant;
  body: ArrivalBody;
};

/** `tap` comes back as the arrival's `tap`. */
export type Button = { tap: string; label: string };
export type Message = {
  text: string;
  buttons?: Button[];
  /** Ids of pictures in knowledge/pictures. */
  pictures?: string[];
  /** The label of a button that shares where the phone is, on channels that have one. */
  askPlace?: string;
  /** A photo or other file of a hirer, passed on to staff. */
  file?: FileRef;
};

/** One message to one address. Its key is the arrival's key and its number, so a repeat adds nothing. */
export type Send = {
  to: Address;
  /** Whom a reader of the log sees: "hirer:<name>", "duty:<name>" or "hook". */
  who: string;
  /** The person of the hire whom it is for; absent for staff. */
  person?: string;
  /** The contact of the firm whom it is for; absent for hirers. */
  contact?: string;
  /** To staff: the person of the hire whose words it passes on, so that a reply goes to them. */
  about?: string;
  message: Message;
  /** To staff: somebody must act now, so a channel that can ring rings. */
  ring?: boolean;
  /** Overtakes everything else of its lane; tried up to 5 times more when the wire is unsure. */
  safety: boolean;
  callout?: number;
  severity?: Severity;
  /** After it the words are no longer true or of help: it is not tried. */
  until?: Instant;
};

/** "At this instant, this happens next." Setting the same key again replaces it; `at` null drops it. */
export type Due = { key: string; at: Instant | null; generation: number; matter: Matter };

/** Why something was done; stored and logged, so no text of a hirer stands in it. */
export type Reason = string;
