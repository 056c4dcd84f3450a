/** The state of one hire: who is on it, what was said, what is open, what was read and sent. Pure data. */

import { after, dayOf, type Instant } from "../calendar.js";
import type { Callout } from "../callouts/callout.js";
import type { Book } from "../knowledge/book.js";
import type { Keeping } from "../knowledge/firm/keeping.js";
import type { Want } from "../knowledge/schema.js";
import type { Matcher } from "../matching/matcher.js";
import type { Place, PlaceWords } from "../place/place.js";
import type {
  Aboard,
  Address,
  Arrival,
  Booking,
  Due,
  HireId,
  Notice,
  Reading,
  Reason,
  Send,
  Sender,
} from "../post.js";
import type { Doubted } from "../reminders/distance.js";
import type { FirmState, OpenMatter } from "../roster/duty/state.js";
import type { StaffReach } from "../roster/reach.js";
import type { OpenSum } from "../sums/ask.js";
import type { Handover } from "../vans/handover.js";
import type { Van } from "../vans/van.js";

export type Person = {
  id: string;
  name: string;
  booker: boolean;
  phone?: string;
  /** Channels by which this person reads; the latest used comes first. */
  reached: Address[];
  /** When something last came from their page. */
  onPageAt?: Instant;
  /** Where a safety message did not get through, and when staff last heard of it; what comes from there takes it out. */
  lost?: { way: Address; since: Instant; heardAt?: Instant }[];
  /** True once the first message told that this is an automated assistant. */
  greeted: boolean;
  /** True once a text to a telephone from which they never wrote told who writes. */
  texted?: true;
};

/** A question that the service puts after the safety step, one at a time. */
export type Asking = "check" | "sheet" | "place" | "need" | "night";

/** Questions about one matter, the current one first; `path`: the options chosen in its guided check. */
export type Questions = { entry: string; callout?: number; steps: Asking[]; path: number[] };

/** Where a person stands in a talk: what their next words or tap may answer. */
export type Talk = {
  /** The last entries told or offered, the newest first; at most four. */
  lastEntries: string[];
  /** Choices on the screen, in order. */
  offered?: string[];
  asking?: Questions;
  /** Questions of the matters that do not lead; asked when the current ones are over. */
  later?: Questions[];
  /** The last button they tapped. */
  tapped?: { tap: string; at: Instant };
  /** Staff wrote since our last question: a short yes or no is theirs, and we do not ask again by ourselves. */
  staffSpoke?: boolean;
  /** Staff wrote, and nothing with buttons was told since: a bare number is theirs too. */
  staffLast?: boolean;
  /** What the latest reminder asked for and this person has not told yet; the level that they told, while what to add is still to be said; the odometer that they were asked about. */
  reading?: { wants: Want[]; fluid?: number; doubted?: Doubted };
  /** The marks, levels and odometer that they told last: for a day they can put them right; `overtaken`: something else was told since, so only by their names. */
  told?: { wants: Want[]; at: Instant; overtaken?: true };
  /** The numbered sheet of lights is on the screen: a number names one. */
  sheet?: boolean;
  /** When they named a light by its number there; until its check is answered, or something else is asked, the number can be taken back. */
  namedAt?: Instant;
  /** A sum that lacks a figure; `overtaken`: a later message has buttons, so a bare number is one of them. */
  sum?: OpenSum & { overtaken?: true };
  /** When they were last asked something: what was written well before it answers none of that. */
  askedAt?: Instant;
  /** The call-out for which they were asked whether they are all right, and have not written since. */
  wellAsked?: number;
  /** The call-out for which they were asked whether roadside assistance is there, and have not written since. */
  roadsideAsked?: number;
  /** The call-out for which they were asked in words where they are. */
  whereAsked?: number;
  /** What came alone and cannot be read, such as a voice message, while words are waited for. */
  unread?: string;
  /** Whether this is a danger was in doubt: the text that was, when it was asked, and what no person has had of it yet; `overtaken`: a later question is on the screen, so only its buttons answer it. */
  doubt?: { danger: string; text: string; at?: Instant; waits?: string; overtaken?: true };
  /** The last such text that was settled; its buttons are still on the screen. */
  doubted?: string;
};

/** A reminder that went out. `due` is the rule's own instant, before merging. */
export type SentReminder = {
  key: string;
  rule: string;
  due: Instant;
  sentAt: Instant;
  answered: boolean;
  asked: number;
  /** Where it needs a reply: what has not been told yet. */
  wants?: Want[];
  /** When it was asked once more. */
  againAt?: Instant;
  /** The call-out that asks staff to ring about it. */
  task?: number;
};

/** A notice of staff; `seen`: person of the hire → when. Not told yet where the pick-up is to come. */
export type HireNotice = Notice & { by: string; toldAt?: Instant; seen: Record<string, Instant> };

/** A record with its reading; `at`: when it was first kept, `by` whom; `corrected`: the latest time that it was. */
export type HandoverRecord = Handover & {
  at: Instant;
  reading: Reading;
  corrected?: { at: Instant; by: string };
};

/** A van that was given up on the road: until when it was this hire's, the record with which it went out, the last place known then. */
export type VanBefore = Booking["van"] & {
  until?: Instant;
  pickup?: HandoverRecord;
  place?: Place;
  placeSaid?: PlaceWords;
};

export type Hire = {
  id: HireId;
  booking: Booking;
  people: Person[];
  /** The highest number in the id of anybody who was ever on it; only where somebody was taken off. */
  peopleGiven?: number;
  talks: Record<string, Talk>;
  callouts: Callout[];
  readings: Reading[];
  /** Since when it has this van; only where another one was given up for it. */
  vanSince?: Instant;
  /** The vans that were given up before it. */
  vansBefore?: VanBefore[];
  sentReminders: SentReminder[];
  notices?: HireNotice[];
  /** When its hirers said last that they bring the van back; `isBack`: that it is. */
  arrival?: { at: Instant; isBack?: true };
  /** The faults of its vans that were told to it, as "registration:number"; with "held:" before it, that they hold the van back. */
  faultsTold?: string[];
  returnRecordAt?: Instant;
  /** The records of the van's handover and return; the latest version of each. */
  pickup?: HandoverRecord;
  back?: HandoverRecord;
  /** Who and what is in the van, where staff asked. */
  aboard?: Aboard;
  /** The last place that a hirer shared or wrote in figures, and what they last wrote of where they are. */
  place?: Place;
  placeSaid?: PlaceWords;
  /** Generation of the hire's reminder dues. */
  planned: number;
};

/**
 * A hire that is over: cancelled, or back with its record for as many days as its links live. While a matter of
 * it is open its people are heard on; once the van is back, while a danger is.
 */
export function isOver(
  { booking, returnRecordAt, callouts }: Hire,
  now: Instant,
  { link }: Book["keeping"],
): boolean {
  const isBack = returnRecordAt !== undefined;
  const ended =
    booking.status === "cancelled" || (isBack && now > after(returnRecordAt, link.days * 24 * 60));
  const waits = callouts.some((c) => c.state !== "done" && (!isBack || c.severity === "danger"));
  return ended && !waits;
}

/** Whether its hirers may have the van by now: from the local day of pick-up on, or once its record is there. */
export const hasBegun = ({ booking, pickup }: Hire, now: Instant): boolean =>
  pickup !== undefined || dayOf(now, booking.zone) >= dayOf(booking.pickupAt, booking.zone);

/** A danger that somebody without a hire wrote of. `at`: when they last did; `place`: where they shared that they are. */
export type StrangerAlert = { from: Sender; words: string; at: Instant; place?: string };
/** A chat that belongs to no hire yet. `alert`: rings staff until one of them has seen it. */
export type Stranger = { lane: string; greeted: boolean; alert?: StrangerAlert };
/** What a lane holds: a hire, a van, somebody without a hire, or the firm's roster and shifts. */
export type LaneState =
  | { kind: "hire"; hire: Hire }
  | { kind: "van"; van: Van }
  | { kind: "stranger"; stranger: Stranger }
  | { kind: "firm"; firm: FirmState };

/** All that `step` may know of the world; read by the caller before the step. */
export type Facts = {
  now: Instant;
  book: Book;
  matcher: Matcher;
  reach: StaffReach;
  /** Calling code of the firm's country, where text messages can be sent. */
  texts?: string;
  /** The van of the hire, as its own lane has it; absent where nothing was ever reported of it. */
  van?: Van;
  /** The vans that the hire gave up, likewise; read where what is known of it is to go. */
  vansBefore?: readonly Van[];
  /** Call-outs that are not done, of all hires; read for the firm's lane alone. */
  open?: readonly OpenMatter[];
};

/** `dues`: set (the same key replaces) or, with `at` null, dropped. */
export type Step = {
  state: LaneState | undefined;
  sends: Send[];
  dues: Due[];
  because: Reason[];
  /** What this turn puts into other lanes; stored with it. */
  posts?: Arrival[];
  /** What goes of the hire's rows with this turn. */
  forgets?: { what: Keeping; by: string; person?: string };
};
