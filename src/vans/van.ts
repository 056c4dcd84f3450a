/** What is known of one van beyond a single hire: its faults, who released it, its service. Types only. */
import type { Instant } from "../calendar.js";
import type { Severity } from "../severity.js";

/** One time that somebody reported it. `hire`: the hire during which; absent where staff noted it. */
export type Report = { at: Instant; by: string; severity: Severity; words: string; hire?: string };

/** Stays until a named person clears it. The same matter reported again joins it while it is open. */
export type VanFault = {
  /** Counted within the van, from 1. */
  n: number;
  /** An entry's id or a reading's matter; "staff:<n>" where staff noted it. */
  matter: string;
  title: string;
  /** Only rises. */
  severity: Severity;
  reports: Report[];
  cleared?: { at: Instant; by: string; what: string };
};

/** A named person let the van go out in spite of what then blocked it. `seen`: the latest report on their page. */
export type Release = {
  at: Instant;
  by: string;
  reason: string;
  covers: string[];
  seen?: Instant;
};

/** Work that falls due by a local date, by distance, or by whichever comes first. */
export type Service = {
  n: number;
  what: string;
  /** Local date, "2026-09-01". */
  dueOn?: string;
  dueKm?: number;
  done: { at: Instant; by: string; odometerKm?: number }[];
};

/** What is done to a van between two hires. */
export type ReadyStep = "back" | "cleaned" | "filled" | "checked" | "out";
/** A named person did it. `after`: the hire that had the van before; "" where it is the van's first. */
export type Mark = { step: ReadyStep; after: string; at: Instant; by: string };

export type Van = {
  registration: string;
  type: string;
  faults: VanFault[];
  releases: Release[];
  service: Service[];
  /** Marks of the bodywork that were mended, by the id of their photo. */
  mended: Record<string, { at: Instant; by: string }>;
  /** The latest marks of being made ready. */
  ready?: Mark[];
  /** The hire that gave it up on the road for another van, which it had since `from`; `place`: where, in words. */
  givenUp?: { hire: string; surname: string; from: Instant; at: Instant; place?: string };
};

/** What may happen to a van. */
export type VanAct =
  | {
      do: "reported";
      matter: string;
      title: string;
      severity: Severity;
      words: string;
      hire: string;
    }
  | { do: "note-fault"; title: string; severity: Severity }
  /** `seen`: when what stood on the page was last reported. */
  | { do: "clear"; fault: number; what: string; seen?: Instant }
  | { do: "release"; covers: string[]; reason: string; seen?: Instant }
  | { do: "service"; n?: number; what: string; dueOn?: string; dueKm?: number }
  | { do: "service-done"; n: number; odometerKm?: number; dueOn?: string; dueKm?: number }
  | { do: "mended"; photo: string }
  | { do: "ready"; step: ReadyStep; after: string; undo?: true }
  /** `place`: where it was last known to be, in words, each with its day. */
  | { do: "given-up"; hire: string; surname: string; from: Instant; place?: string }
  /** The words of this hire's reports go, and the names of who reported. */
  | { do: "forget"; hire: string; names: boolean };

/** What a van is when it is first heard of. */
export const newVan = (registration: string, type: string): Van => ({
  registration,
  type,
  faults: [],
  releases: [],
  service: [],
  mended: {},
});
