/** Why a provider could not deliver what it had taken: fixed words, so that nothing of a person gets into logs. */
import { z } from "zod";
import type { Address } from "../post.js";

const words = {
  "no-answer": "nobody answered",
  busy: "engaged",
  "unknown-number": "no such number",
  blocked: "blocked by its reader or network",
  other: "the provider could not deliver it",
} as const;

export const Failure = z.enum(Object.keys(words) as [keyof typeof words]);
export const whyFailed = (failure: z.output<typeof Failure>): string => words[failure];

/** Marks a send to an address as not delivered and tells its lane; `fits` knows its key. False: there is none. */
export type ReportFailure = (
  to: Address,
  fits: (key: string) => boolean,
  why: string,
) => Promise<boolean>;
