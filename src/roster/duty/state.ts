/** The state of the firm's own lane: what was changed at the desk, who is on, and which test alerts are open. Pure data. */
import type { Instant } from "../../calendar.js";
import type { FirmFile } from "../../knowledge/schema.js";
import type { LaneId } from "../../post.js";
import type { Severity } from "../../severity.js";
import type { FirmChanges } from "../in-force.js";
import type { StaffReach } from "../reach.js";

/** The test alert at the start of a shift. */
export type ShiftTest = {
  n: number;
  contact: string;
  /** "gap": nobody is on, and this is the fallback · "asked": to take over from who wants to go off duty. */
  why: "shift" | "gap" | "asked";
  startedAt: Instant;
  /** The end of the shift: what is not answered by then is over. */
  until: Instant;
  sentAt: Instant;
  /** Channels that carried it, and those that could not. */
  channels: string[];
  failed: string[];
  /** Who was on before. */
  before: string[];
  /** "open" is red at the desk once others were told. */
  state: "open" | "answered" | "stood-in" | "over";
  /** How often others were told that it is not answered, and who they are. */
  toldTimes: number;
  told: string[];
  /** Who answered or stood in. */
  by?: string;
  answeredAt?: Instant;
};

export type FirmState = FirmChanges & {
  changedBy?: string;
  changedAt?: Instant;
  /** The latest change in words. */
  says?: string;
  /** Who was on when the roster was last looked at. */
  on: string[];
  lookedAt: Instant;
  /** Who went off duty at the last change: what they took at that very instant is looked for once more. */
  gone?: { contacts: string[]; at: Instant };
  /** The latest first; at most twenty. */
  tests: ShiftTest[];
  /** Somebody wants to go off duty: until `to` answers the test, they stay on. */
  leaving?: { contact: string; to: string; test: number };
};

/** A call-out that is not done, as the lists of the desk know it. */
export type OpenMatter = {
  lane: LaneId;
  n: number;
  title: string;
  severity: Severity;
  registration: string;
  with?: string;
};

/** What the firm's lane may know of the world. `firm`: as it holds before this step. */
export type DutyFacts = {
  now: Instant;
  firm: FirmFile;
  reach: StaffReach;
  open: readonly OpenMatter[];
};
