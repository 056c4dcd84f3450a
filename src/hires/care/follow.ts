/** What follows a reading that was kept: a top-up, a call-out, a word to staff. Pure. */
import type { Follows } from "../../reminders/answer.js";
import { callOrder } from "../../triage/order.js";
import { tellAnswer } from "../../wording/entry.js";
import { alertedLine, callOut, callOutBeside, type Raised } from "../alarm.js";
import type { Person } from "../hire.js";
import { line, type Turn, tell, tellAll, tellContact } from "../turn.js";

/** What low or bad marks ask for: how to top up, or stop and ring. `words`: as they were written; none of a button. */
export function follow(
  turn: Turn,
  person: Person,
  follows: readonly Follows[],
  words: string | undefined,
): void {
  const stops = follows.flatMap((next) => (next.act === "stop" ? [next.matter] : []));
  stop(turn, person, stops, words);
  const entry = turn.facts.book.entries.get("oil-top-up");
  if (stops.length < follows.length && entry?.kind === "answer")
    tell(turn, person, {
      text: `${line(turn, "reading-low")}\n${tellAnswer(turn.voice, entry).text}`,
    });
}

/** Marks with which nobody drives on: a call-out each, one alert that names them all, one message to the hirers. */
function stop(
  turn: Turn,
  person: Person,
  stops: readonly string[],
  words: string | undefined,
): void {
  const titles = stops.map((matter) => line(turn, `reading-title-${matter}`));
  const also = titles.slice(1).map((title) => `STOP: ${title}`);
  const raised: Raised[] = [];
  for (const [i, title = ""] of titles.entries()) {
    const what = {
      kind: "reading",
      matter: `reading-${stops[i]}`,
      title,
      severity: "stop",
    } as const;
    const matter = { ...what, words: words ?? title };
    const [lead] = raised;
    raised.push(
      lead ? callOutBeside(turn, person, matter, lead) : callOut(turn, person, { ...matter, also }),
    );
  }
  if (raised.length === 0) return;
  const reached = [...new Set(raised.flatMap((r) => r.reached))];
  const text = [
    ...stops.map((matter) => line(turn, `reading-stop-${matter}`)),
    alertedLine(turn, reached),
  ].join("\n");
  tellAll(turn, { text }, { safety: true, severity: "stop" });
}

/** An odometer that was asked about and told again: staff look at it and at the last one, both as they are told. */
export function againToStaff(turn: Turn, person: Person, said: string, last: string): void {
  const [duty] = callOrder(turn.facts.book.firm, "person", turn.now);
  const { registration } = turn.hire.booking.van;
  const text = line(turn, "odometer-again", { name: person.name, said, last, registration });
  if (duty) tellContact(turn, duty, { text }, { severity: "note", about: person.id });
  turn.because.push(`odometer told twice: noted for ${duty ?? "nobody"}`);
}
