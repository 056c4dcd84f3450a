/** A message in hand: what is known of it, what became of it so far, and its words for staff. Pure. */
import { relay } from "../alarm.js";
import type { Person } from "../hire.js";
import type { Turn } from "../turn.js";
import type { SaidFacts } from "./facts.js";

/** `placed`: it was taken as the place where they are; `seen`: a channel carried it to staff, but not in an alert. */
export type Handling = SaidFacts & { placed: boolean; seen: boolean; passOn: () => boolean };

/** One thing that a message may be. True where it was that, and is done with. */
export type Handler = (turn: Turn, person: Person, said: Handling) => boolean;

/**
 * Takes a message in hand. `passOn` gives its words to staff, the first time that it is called; what it returns
 * tells whether a channel carried them to somebody.
 */
export function inHand(turn: Turn, person: Person, facts: SaidFacts): Handling {
  let told: boolean | undefined;
  const passOn = () => {
    told ??= passedOn(turn, person, facts);
    return told;
  };
  return { ...facts, placed: false, seen: false, passOn };
}

/** Whatever is written while a matter is open reaches staff; the matter itself, written again, by its alert. */
function passedOn(
  turn: Turn,
  person: Person,
  { open, owned, again, words, isThreat }: SaidFacts,
): boolean {
  if (open === undefined || again) return false;
  if (owned && owned !== open) relay(turn, person, owned, words);
  return relay(turn, person, open, words, { noted: isThreat });
}
