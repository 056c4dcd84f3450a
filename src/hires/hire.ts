/** The state of one hire: who is on it, what was said, what is open, what was read and sent. Pure data. */
import type { Callout } from "../callouts/callout.js";
import type { Instant } from "../calendar.js";
import type { Address, Booking, HireId, Reading } from "../post.js";

export type Person = {
  id: string;
  name: string;
  booker: boolean;
  phone?: string;
  /** Channels by which this person reads; the latest used comes first. */
  reached: Address[];
  /** True once the first message told that this is an automated assistant. */
  greeted: boolean;
};

/** Where a person stands in a talk: what their next words or tap may answer. */
export type Talk = {
  /** The last entries told or offered, the newest first; at most four. */
  lastEntries: string[];
  /** Choices on the screen, by number. */
  offered?: string[];
  /** A guided check in progress: the entry and the options chosen so far. */
  check?: { entry: string; path: number[]; callout?: number };
  /** A reminder's reply that is awaited. */
  reading?: { key: string; wants: string[] };
  /** The question whether this is a danger: the text was in doubt. */
  doubt?: { danger: string };
  /** The one step that asks for place and need after a safety step. */
  asking?: { callout: number; question: "place" | "need" | "night" };
  lastText?: string;
};

/** A reminder that went out. `due` is the rule's own instant, before merging. */
export type SentReminder = { key: string; rule: string; due: Instant; sentAt: Instant; answered: boolean; asked: number };

export type Hire = {
  id: HireId;
  booking: Booking;
  people: Person[];
  talks: Record<string, Talk>;
  callouts: Callout[];
  readings: Reading[];
  sentReminders: SentReminder[];
  returnRecordAt?: Instant;
  /** The last place that a hirer shared. */
  place?: { lat: number; lon: number; at: Instant };
  /** Generation of the hire's reminder dues. */
  planned: number;
};

/** The contacts now signed in at the desk, and where else staff can be reached. */
export type StaffReach = {
  atDesk: string[];
  telegram: Record<string, string>;
  hook: boolean;
};
