/** What a hirer is told once their words were understood: an answer, choices, what the van lacks, a person. Pure. */
import { concerns, concernsDriving, type Entry, lackLine } from "../knowledge/book.js";
import { fill } from "../knowledge/placeholders.js";
import { sayChoice } from "../matching/choose.js";
import { isQuestion, plainly } from "../reminders/words.js";
import type { OpenSum } from "../sums/ask.js";
import type { Summed } from "../sums/words/say.js";
import { lightIn, severityNow } from "../triage/lights.js";
import { isNight, morningAfter } from "../triage/order.js";
import { tellAnswer } from "../wording/entry.js";
import { alertedLine, callOut } from "./alarm.js";
import { morningRole, untilMorning } from "./callouts/questions.js";
import { changedBy, leaveOpen, sumOf } from "./care/sums.js";
import type { Person } from "./hire.js";
import { answerButtons, danger, lateLine, troubles } from "./trouble.js";
import { clock, line, remember, sheetOver, type Turn, talkOf, tell } from "./turn.js";
import type { Choice } from "./understand.js";

/** Acts on a choice: tells, offers, triages or hands over. */
export function act(turn: Turn, person: Person, choice: Choice, words: string): void {
  const entries = choice.entries.flatMap((c) => turn.facts.book.entries.get(c.id) ?? []);
  turn.because.push(sayChoice(choice));
  switch (choice.outcome) {
    case "triage":
      return triage(
        turn,
        person,
        entries.slice(0, Math.max(1, choice.answered)),
        words,
        choice.lang,
      );
    case "answer":
      return answer(turn, person, entries.slice(0, Math.max(1, choice.answered)), words);
    case "choices":
      return offer(turn, person, entries, words);
    case "lacks":
      return lacks(turn, person, choice.lacks ?? entries[0]?.id ?? "");
    case "courtesy": {
      const entry = entries[0];
      if (entry?.kind === "courtesy")
        tell(turn, person, { text: fill(entry.text.reply, turn.voice.values) });
      return;
    }
    case "person":
      return toPerson(turn, person, words, "unclear");
    default: {
      const never: never = choice.outcome;
      turn.because.push(`ignored: outcome ${String(never)}`);
    }
  }
}

/** One entry that was tapped or chosen, whatever its kind. */
export function tellEntry(turn: Turn, person: Person, entry: Entry, words: string): void {
  const here = lightIn(turn.facts.book, entry, turn.van);
  if (!concerns(here, turn.van)) return lacks(turn, person, here.id);
  if (here.kind === "answer") return answer(turn, person, [here], words);
  return triage(turn, person, [here], words);
}

function triage(turn: Turn, person: Person, entries: Entry[], words: string, lang?: string): void {
  const { book } = turn.facts;
  delete talkOf(turn, person.id).offered;
  const life = entries
    .map((e) => (e.kind === "fault" && e.sameAs ? book.entries.get(e.sameAs) : e))
    .find((e) => e?.kind === "danger");
  if (life?.kind === "danger") return danger(turn, person, life, words, { lang });
  troubles(
    turn,
    person,
    entries.filter((e) => e.kind === "light" || e.kind === "fault"),
    words,
  );
  // One question besides the trouble is still answered, after it.
  const asked = entries.filter((e) => e.kind === "answer");
  if (asked.length > 0) answer(turn, person, asked, words);
}

function answer(turn: Turn, person: Person, entries: Entry[], words: string): void {
  const told = entries.filter((e) => e.kind === "answer");
  const lacking: [entry: string, Summed][] = [];
  for (const [i, entry] of told.entries()) {
    const { text, pictures } = tellAnswer(turn.voice, entry);
    const late = i === 0 ? lateLine(turn, "late") : undefined;
    const sum = sumOf(turn, entry.id, words);
    // One thing is asked for at a time, or nobody could tell which question a figure answers.
    const missing = sum?.missing && lacking.length === 0 ? [sum.missing] : [];
    const [title = "", ...rest] = text.split("\n");
    const whole = [title, ...(sum?.told ?? []), ...missing, ...rest];
    const follow = entry.text.followUps
      .filter((f) => {
        const to = turn.facts.book.entries.get(f.entry);
        return to && concerns(to, turn.van);
      })
      .slice(0, 3)
      .map((f) => ({ tap: `e:${f.entry}`, label: f.say }));
    const last = i === told.length - 1;
    tell(turn, person, {
      text: [...(late ? [late] : []), ...whole].join("\n"),
      ...(pictures.length > 0 ? { pictures } : {}),
      buttons: [...follow, ...(last ? answerButtons(turn) : [])],
    });
    if (sum?.missing) lacking.push([entry.id, sum]);
  }
  // Once all is told, since buttons that come later would overtake it.
  let open: OpenSum | undefined;
  for (const [entry, sum] of lacking) open = leaveOpen(turn, person, { entry, words }, sum, open);
  remember(
    turn,
    person.id,
    told.map((e) => e.id),
  );
  delete talkOf(turn, person.id).offered;
}

/** Whether the words bring what an earlier sum lacked; if so the sum is told, or the next thing asked for. */
export function sumCompleted(turn: Turn, person: Person, words: string): boolean {
  const talk = talkOf(turn, person.id);
  const open = talk.sum;
  if (!open || (open.overtaken && /^\W*\d\W*$/.test(words))) return false;
  delete talk.sum;
  if (isQuestion(plainly(words))) return false;
  const changed = changedBy(turn, open, words);
  if (!changed) return false;
  const { entry, whole, sum, other } = changed;
  const then = other && sumOf(turn, other.entry, other.words);
  const about = turn.facts.book.entries.get(other?.entry ?? "")?.title ?? "";
  const next = then?.missing ? [fill(about, turn.voice.values), then.missing] : [];
  tell(turn, person, {
    text: [...sum.told, ...(sum.missing ? [sum.missing] : next)].join("\n"),
    buttons: answerButtons(turn),
  });
  const still = sum.missing ? leaveOpen(turn, person, { entry, words: whole }, sum) : undefined;
  if (other && then?.missing) leaveOpen(turn, person, other, then, still);
  turn.because.push(`sum of ${entry}`);
  return true;
}

/** Whether the likeliest is a trouble with which nobody drives on: then they stop before they choose. */
export function stopsFirst(lead: Entry | undefined, words: string): boolean {
  const severity = lead && severityNow(lead, words);
  return lead !== undefined && severity === "stop" && concernsDriving(lead);
}

function offer(turn: Turn, person: Person, entries: Entry[], words: string): void {
  const talk = talkOf(turn, person.id);
  talk.offered = entries.map((e) => e.id);
  sheetOver(talk);
  remember(turn, person.id, talk.offered);
  tell(turn, person, {
    text: [
      ...(stopsFirst(entries[0], words) ? [line(turn, "stop-first")] : []),
      line(turn, "choices"),
    ].join("\n"),
    buttons: [
      ...entries.map((e) => ({ tap: `e:${e.id}`, label: fill(e.title, turn.voice.values) })),
      { tap: "none", label: line(turn, "none-of-these") },
    ],
  });
}

/** What the van has not: by an entry that it does not concern, or by a feature that no entry is about. */
function lacks(turn: Turn, person: Person, what: string): void {
  const entry = turn.facts.book.entries.get(what);
  const text = entry ? lackLine(entry, turn.van) : turn.van.lacks[what];
  if (!text) return toPerson(turn, person, entry?.title ?? "");
  tell(turn, person, { text, buttons: answerButtons(turn).slice(1) });
  if (entry) remember(turn, person.id, [entry.id]);
}

/** Hands the words to a person, whether or not that was asked, or asked about data, or they were not understood, or a doubt was not answered, or no words came to a voice message; at night it waits for the morning unless the hirer says that it cannot. */
export function toPerson(
  turn: Turn,
  person: Person,
  words: string,
  asked: boolean | "data" | "unclear" | "doubt" | "unread" = false,
): void {
  remember(turn, person.id, []);
  const whys = {
    data: "data-asked",
    unclear: "person",
    doubt: "doubt-unanswered",
    unread: "unread",
  } as const;
  const why = typeof asked === "string" ? whys[asked] : asked ? "person-asked" : "person";
  const days = String(turn.facts.book.keeping.talk.days);
  // What was not understood in another language may be a warning light, as long as they have the van.
  const { lang, book } = turn.voice;
  const mayBeLight = asked === "unclear" && turn.hire.returnRecordAt === undefined;
  const colours = mayBeLight ? book.phrases.get(`light-colours-${lang}`) : undefined;
  const opening = [...(colours ? [colours] : []), line(turn, why, { days })].join("\n");
  const { firm } = turn.facts.book;
  const night = isNight(firm, turn.now);
  const { callout, reached, isNew } = callOut(
    turn,
    person,
    {
      kind: "person",
      matter: asked === "data" ? "data" : "person",
      title: line(turn, `${why}-title`),
      severity: "note",
      words,
    },
    night,
  );
  // Written to the book of the morning at once, so that silence loses nothing.
  if (night && isNew) untilMorning(turn, callout.n);
  const waits = callout.state === "nobody-yet" && callout.waitsUntil !== undefined;
  if (night && (isNew || waits)) {
    const text = line(turn, "person-night", {
      who: morningRole(turn),
      time: clock(turn, morningAfter(firm, turn.now)),
    });
    tell(
      turn,
      person,
      {
        text: `${opening}\n${text}`,
        buttons: [{ tap: `urgent:${callout.n}`, label: line(turn, "person-urgent") }],
      },
      { callout: callout.n },
    );
    return;
  }
  const status = isNew ? alertedLine(turn, reached) : line(turn, "added");
  tell(turn, person, { text: `${opening}\n${status}` }, { callout: callout.n });
}
