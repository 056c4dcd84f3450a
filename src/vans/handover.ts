/** The record that is made when a van goes out and when it comes back, beside its reading. Types only. */
import type { Instant } from "../calendar.js";
import type { Severity } from "../severity.js";

export type HandoverKind = "pickup" | "return";

/** As far as the van has it: weight left in kilograms, share of a bottle 0–1, full cartridges. */
export type Gas = { kg?: number; share?: number; cartridges?: number };

export type RecordPhoto = {
  id: string;
  /** A side of knowledge/handover.yaml, or "chat". */
  side: string;
  /** The mark that it shows. */
  mark?: string;
  /** As the camera's clock had it, "2026-06-03T10:12:05", with its offset where it wrote one; absent: not known. */
  takenAt?: string;
  receivedAt: Instant;
  /** Of the sealed original, hex. */
  sha256: string;
};

export type Handover = {
  registration: string;
  /** The contact who made it, at a return through the key box: who checked the van in. */
  by: string;
  /** As its odometer shows. */
  unit: "miles" | "km";
  gas?: Gas;
  keys?: number;
  spare?: "with-hirer" | "office" | "none";
  /** `found` absent: not counted. */
  kit: { item: string; due: number; found?: number }[];
  photos: RecordPhoto[];
  drivers: string[];
  /** Ids of the points that were ticked. */
  points: string[];
  /** Found by staff; each stays on the van. */
  faults: { title: string; severity: Severity }[];
  remark?: string;
  hirerRemark?: string;
  keyBox?: true;
  /** Questions that were answered with "it is right". */
  confirmed: string[];
};
