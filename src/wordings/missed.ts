/** Which messages of hirers were not understood, or not answered to their liking. Pure. */
import type { Instant } from "../calendar.js";
import { takenFor } from "../matching/choose.js";
import type { LaneId } from "../post.js";
import { plain } from "./plain.js";

/** A message in words, or a tap, of a person of a hire, with the reasons of the step that answered it. */
export type Heard = {
  lane: LaneId;
  n: number;
  at: Instant;
  person: string;
  text: string;
  /** The button, for a tap. */
  tap?: string;
  because: readonly string[];
  van: string;
  /** Who is on the hire, so that their names are left out. */
  names: readonly string[];
};

/** `person`: went to staff · `offered`: choices, none taken · `chose`: one of them taken · `else`: answered, and that was not it. */
export type How = "person" | "offered" | "chose" | "else";
export type Missed = {
  lane: LaneId;
  n: number;
  at: Instant;
  /** Without names and numbers. */
  text: string;
  van: string;
  how: How;
  /** The entry that was chosen. */
  chose?: string;
};

function wordsOf(heard: Heard): Missed | undefined {
  const taken = takenFor(heard.because);
  if (!taken || taken.outcome === "courtesy") return undefined;
  const { lane, n, at, van } = heard;
  const how = taken.outcome === "person" ? "person" : "offered";
  return { lane, n, at, text: plain(heard.text, heard.names), van, how };
}

/**
 * The messages that were not understood, in the order in which they came; `all` in that order too. A tap
 * belongs to the last words of the same person.
 */
export function missed(all: readonly Heard[]): Missed[] {
  const found = new Set<Missed>();
  const last = new Map<string, { message: Missed; offered: boolean }>();
  for (const heard of all) {
    const who = `${heard.lane} ${heard.person}`;
    if (heard.tap === undefined) {
      const message = wordsOf(heard);
      if (!message) {
        last.delete(who);
        continue;
      }
      const offered = takenFor(heard.because)?.outcome === "choices";
      if (offered || message.how === "person") found.add(message);
      last.set(who, { message, offered });
      continue;
    }
    const before = last.get(who);
    if (!before) continue;
    const [kind = "", entry = ""] = heard.tap.split(":");
    if (kind === "e" && before.offered && before.message.how === "offered")
      Object.assign(before.message, { how: "chose", chose: entry });
    else if (["else", "none", "person"].includes(kind) && before.message.how !== "person") {
      before.message.how = "else";
      delete before.message.chose;
      found.add(before.message);
    }
  }
  return [...found];
}
