/** A call-out: a matter that needs staff, from nobody-yet to done. State only; the steps are in steps.ts. */
import type { Instant } from "../calendar.js";
import type { Address, Need } from "../post.js";
import type { Severity } from "../severity.js";

export type CalloutKind = "danger" | "light" | "fault" | "person" | "reading";

export type Callout = {
  /** Counted within the hire, from 1. */
  n: number;
  kind: CalloutKind;
  /** The matter: an entry's id, or "person". One open call-out per hire and matter. */
  matter: string;
  title: string;
  /** Only rises while the call-out is open. */
  severity: Severity;
  state: "nobody-yet" | "with" | "done";
  /** A contact's id while `with`. */
  with?: string;
  openedAt: Instant;
  /** The person of the hire who raised it. */
  person: string;
  /** As they were last known, where they were taken off the hire and nobody else of it may hear of this. */
  left?: { name: string; phone?: string };
  /** The van that it is about, where that was given up since; else it is the one that the hire has. */
  van?: { registration: string; type: string };
  /** A person of staff must have answered by then. */
  answerBy: Instant;
  /** Contacts alerted so far, in order; a new round starts the order again. */
  alerted: string[];
  round: number;
  /** Every contact whom an alert of it ever reached; `alerted` also holds those whom no channel reached. */
  tried?: string[];
  /** The channels that did not carry the last alert, by contact. */
  failed?: { contact: string; channel: Address["channel"] }[];
  /** What else the same words told, by title and severity. */
  also?: string[];
  /** Opened by the same words as that call-out, whose alert named it: whoever takes that one has this. */
  beside?: number;
  /** What the hirer said of it, for those who are alerted later. */
  words?: string;
  /** Whose words these are, where others than whoever raised it said something too. */
  saidBy?: string[];
  /** Promised to the hirer: "rings you by". */
  promisedAt?: Instant;
  /** How often others were asked since the promised time passed without a sign from its owner: they may take it now. */
  promiseBroken?: number;
  /** Without a promise: a sign of the owner (a call, a message, a note) is awaited by then. */
  signBy?: Instant;
  /** The owner's last sign, and the hirer's last words since it had an owner. */
  signAt?: Instant;
  wroteAt?: Instant;
  /** The owner is passing it on to this contact, who has not taken it yet. */
  offeredTo?: string;
  /** Its owner has gone off duty, or wants to: since when it is offered to the next person, how often and when last. */
  handing?: { since: Instant; times: number; at: Instant };
  /** Contacts who offer to take it from its owner. */
  offers?: string[];
  /** Who is on the phone with the hirer, since when, and how often they were asked how it ended. */
  phone?: { by: string; since: Instant; asked: number };
  /** What roadside assistance was asked, and what it told: only staff fill this in. */
  roadside?: {
    by: string;
    askedAt: Instant;
    reference?: string;
    arrivesAt?: Instant;
    came?: boolean;
    /** How often it was chased. */
    chased: number;
  };
  hearFromBy?: Instant;
  /** How often a "hear from" passed in silence. */
  silent?: number;
  /** The contact who was asked to ring a silent hirer. */
  ringer?: string;
  /** When a guided check of it came to its end. */
  checkedAt?: Instant;
  /** What the guided check found; the severity itself never falls while it is open. */
  checked?: Severity;
  /** Somebody is in need, the place is unsafe, or the hirer says that it cannot wait. */
  urgent?: boolean;
  /** What makes it urgent, as the hirers told it. */
  needs?: Need[];
  /** Whether it is safe to wait where they are, as they told it. */
  placeSafe?: boolean;
  /** When contacts were last alerted. */
  rungAt?: Instant;
  /** Joined to that call-out; or those that were joined to this one. */
  joinedTo?: number;
  joined?: number[];
  /** Each new due of this call-out gets a higher one; an older due is stale. */
  generation: number;
  /** May wait for the morning, agreed with the hirer; so it does whoever takes it. */
  waitsUntil?: Instant;
  outcome?: string;
  note?: string;
  doneAt?: Instant;
};
