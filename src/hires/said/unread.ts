/** A voice message or the like with nothing open: words are asked for, and where none come a person is told. Pure. */
import { after } from "../../calendar.js";
import { openOf } from "../heard/sign.js";
import type { Person } from "../hire.js";
import { toPerson } from "../reply.js";
import { setDue, type Turn, talkOf } from "../turn.js";

/** So many minutes they have for words. */
const wordsMin = 10;
/** What may tell something; a sticker hardly does. */
const tells = /^(?:voice message|sound file|video|video message|document|file)$/;

const dueKey = (id: string): string => `unread:${id}`;

/** Waits for words; false where there is no need to: staff have it with an open matter, or it is a sticker. */
export function awaitWords(turn: Turn, person: Person, what: string): boolean {
  if (!tells.test(what) || openOf(turn, person).length > 0) return false;
  const talk = talkOf(turn, person.id);
  if (talk.unread !== undefined) return true;
  talk.unread = what;
  const at = after(turn.now, wordsMin);
  setDue(turn, dueKey(person.id), at, { kind: "unread", person: person.id }, 0);
  return true;
}

/** They have written. */
export function wordsCame(turn: Turn, { id }: Person): void {
  const talk = talkOf(turn, id);
  if (talk.unread === undefined) return;
  delete talk.unread;
  setDue(turn, dueKey(id), null, { kind: "unread", person: id }, 0);
}

/** The due: no words came. */
export function unreadDue(turn: Turn, id: string): void {
  const person = turn.hire.people.find((p) => p.id === id);
  const what = turn.hire.talks[id]?.unread;
  if (!person || what === undefined) {
    turn.because.push("ignored: words came since");
    return;
  }
  delete talkOf(turn, id).unread;
  turn.because.push(`no words came after a ${what}`);
  toPerson(turn, person, `(${what})`, "unread");
}
