/** What each mistake costs, as data: the decision takes the act with the least expected cost. Pure. */

/** In units of "one needless question back". */
export type Costs = Readonly<{
  /** Answering with a wrong entry. */
  wrong: number;
  /** Telling a trouble (light or fault) that is another one: it still leads to the firm. */
  wrongTrouble: number;
  /** Saying that the van has not what was not meant. */
  wrongLack: number;
  /** A friendly line to somebody who asked something. */
  wrongCourtesy: number;
  /** Answering what we have no answer to. */
  known: number;
  /** Offering a choice although the first entry was right. */
  ask: number;
  /** Offering a choice that does not hold the right entry. */
  missed: number;
  /** Handing to a person what we could have answered. */
  person: number;
  /** Offering a choice to somebody who wants something else altogether. */
  pester: number;
}>;

export const costs: Costs = {
  wrong: 5.5,
  wrongTrouble: 4.75,
  wrongLack: 3,
  wrongCourtesy: 2.5,
  known: 6,
  ask: 1,
  missed: 4,
  person: 5,
  pester: 1.5,
};

/**
 * How signs of danger, the model's view of each matter in the message, the alarm's view of the whole and by how much
 * BM25F scores a danger above all else (`lead`) add up, as log-odds, and from where it is a danger or a doubt.
 * Signs count in full up to `short` words, in a longer story by their share. `sure`: weight of signs in another
 * language that are a danger whatever the others say. `clear`: probability from which the model, not the signs, names
 * the danger. Fitted by logistic regression on 36,790 asks, each fifth left out of what is trained; the 3,643 that
 * the signs were not written from weigh as much as all others, and `sign` is held near what they gave. `danger` and
 * `doubt` are set by hand: a question too many costs seconds, a danger that is missed may cost a life.
 */
export const dangerScale = {
  sign: 0.5,
  short: 6,
  model: 0.497,
  alarm: 0.374,
  lead: 0.311,
  base: -0.714,
  danger: 0.7,
  doubt: -2.7,
  sure: 3,
  clear: 0.5,
} as const;

/** What is known besides the words, as log-odds added to an entry's score. */
export const prior = {
  /** The van has not what the entry is about. */
  lacking: -0.8,
  /** The entry was told just now; a follow-up rarely means the same. */
  again: -2.5,
  /** …and the words ask for another. */
  another: -7,
  /** The entry is named as related to, or as a follow-up of, what was told just now. */
  related: 2,
} as const;

/**
 * From which probability a matter of a message with several is answered or triaged: `asked` in its own piece,
 * `leading` where the whole message leads to it too, `told` without being asked, if it has its `share` of the whole.
 * A trouble that a clause of its own tells needs `alone` where it says that something fails, else `sure`, and any trouble
 * together `kind`; these three set by hand.
 */
export const second = {
  asked: 0.6,
  leading: 0.45,
  told: 0.85,
  share: 0.1,
  trouble: 0.7,
  alone: 0.55,
  sure: 0.9,
  kind: 0.85,
  whole: 0.05,
  effect: 0.2,
  both: 0.7,
} as const;
