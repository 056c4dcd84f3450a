/** Words that answer what was asked, or are held back by what is open. Pure. */
import { sameTrouble } from "../../triage/matter.js";
import {
  answersAllRight,
  answersQuestion,
  answersRoadside,
  saysOption,
} from "../callouts/settle.js";
import { seenSaid } from "../care/notices.js";
import { surely } from "../heard/aside.js";
import { placeBeside, placeTold } from "../heard/place.js";
import { greet } from "../heard/sign.js";
import { act, tellEntry } from "../reply.js";
import { talkOf } from "../turn.js";
import type { Handler } from "./handling.js";
import { besideOf, stillInDanger } from "./in-danger.js";

/**
 * Staff get the words: those that tell a place as one, a trouble's with its own alert (who is not alerted reads them
 * after it). Never the end of a message.
 */
export const passedToStaff: Handler = (turn, person, said) => {
  const { triaged, words, safety, light } = said;
  if (triaged) placeBeside(turn, person, words);
  else said.placed = placeTold(turn, person, words, safety !== undefined);
  said.seen = said.placed || (light === undefined && !triaged && said.passOn());
  greet(turn, person);
  return false;
};

/**
 * A message that was changed is read again. Where it only puts a letter right, and says what was answered
 * already, nothing is said twice.
 */
export const repeatedItself: Handler = (turn, person, { edited, choice }) => {
  const [first] = choice.entries;
  const known = first && talkOf(turn, person.id).lastEntries[0] === first.id;
  // Of a trouble one word ("red", "alone") may change how grave it is.
  const isApart = ["choices", "person", "triage"].includes(choice.outcome);
  if (!edited || !known || isApart) return false;
  turn.because.push("ignored: a changed message that says the same");
  return true;
};

/** The number of a light on the sheet that is on the screen, or the right one after a slip: then staff read that too. */
export const namedLight: Handler = (turn, person, { light, passOn }) => {
  if (!light) return false;
  const talk = talkOf(turn, person.id);
  if (!talk.sheet) {
    passOn();
    if (talk.asking) talk.asking.steps = talk.asking.steps.filter((step) => step !== "check");
  }
  delete talk.sheet;
  tellEntry(turn, person, light, light.title);
  talk.namedAt = turn.now;
  return true;
};

/** The word that answers whether they are all right. */
export const saidAllRight: Handler = (turn, person, { wellAsked, inDanger, words }) =>
  wellAsked !== undefined && !inDanger && answersAllRight(turn, person, wellAsked, words);

/** The word that answers whether roadside assistance is there. */
export const saidOfRoadside: Handler = (turn, person, { roadsideAsked, inDanger, aside, words }) =>
  roadsideAsked !== undefined &&
  !inDanger &&
  !aside &&
  answersRoadside(turn, person, roadsideAsked, words);

/**
 * The answer to the question in progress, or to a notice. "Yes, safe, but now the oil light is red": the answer is
 * taken, and the other trouble is one of its own; an option of the guided check in its own words tells none.
 */
export const answeredQuestion: Handler = (turn, person, said) => {
  const { aside, words, placed, triaged, first, mine, matter, choice } = said;
  const named = triaged ? first : undefined;
  const isLabel = saysOption(turn, person, words);
  const isAnswer = !aside && answersQuestion(turn, person, words, placed, named);
  if (!isAnswer && !seenSaid(turn, person, words)) return false;
  if (!triaged || isLabel) return true;
  const known = mine.some((c) => sameTrouble(turn.facts.book, c.matter, matter ?? ""));
  if (!known && (choice.entries[0]?.p ?? 0) >= surely) act(turn, person, choice, words);
  said.passOn();
  return true;
};

/** In danger nothing else is answered: "where is the light switch" may be the wrong thing to do. */
export const heldInDanger: Handler = (turn, person, said) => {
  const { inDanger, words, placed, choice } = said;
  if (!inDanger || placed) return false;
  const beside = besideOf(words, choice);
  if (beside !== "over" && choice.outcome === "courtesy") return false;
  const told = said.triaged ? said.passOn() : said.seen;
  stillInDanger(turn, person, inDanger, told, beside);
  return true;
};
