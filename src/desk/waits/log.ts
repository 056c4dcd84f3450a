/** The talk and the steps of a call-out as its card shows them: what was said, what they were told, what was done. */
import { type Instant, instantOf, minuteMs, sayTime } from "../../calendar.js";
import type { Callout } from "../../callouts/callout.js";
import { hireIn } from "../../lanes.js";
import { type Html, html } from "../../pages/html.js";
import type { DeskAct } from "../../post.js";
import type { TripEvent } from "../../store/events.js";
import { canBeShown } from "../../wording/pictures.js";
import { placeLink } from "../place.js";

/** What led to a call-out may have been said so long before it. */
const beforeMs = 10 * 60_000;
const shownTalk = 6;
/** What reached us so much later than it was written says so, as on the hirer's page. */
const lateMs = 2 * minuteMs;
/** Letters: what a hirer wrote is read whole, what they were told is known to staff. */
const longest = { in: 400, out: 130 };

const plain = (who: string) => who.replace(/^(hirer|duty):/, "");
const short = (text: string, most: number) =>
  text.length > most ? `${text.slice(0, text.lastIndexOf(" ", most))} …` : text;

/** What a link to a file is called. */
const fileWord = (kind: string): string =>
  /^image\//.test(kind) || kind === "photo"
    ? canBeShown(kind)
      ? "photo"
      : "photo (HEIC, to download)"
    : /^audio\//.test(kind)
      ? "sound"
      : /^video\//.test(kind)
        ? "video"
        : "file";

/** A link that opens a file that a hirer sent. */
export const fileLink = (e: TripEvent): Html =>
  e.more.file
    ? html` <a href="/desk/photo/${encodeURIComponent(e.more.file.id)}?hire=${hireIn(e.lane)}">${fileWord(e.more.file.kind)}</a>`
    : html``;

/** Of words that reached us late: when they were written. */
const writtenLate = (
  { kind, at, more: { writtenAt } }: TripEvent,
  now: Instant,
  zone: string,
): string =>
  kind === "in" && writtenAt !== undefined && at - writtenAt > lateMs
    ? ` (written ${sayTime(instantOf(writtenAt), now, zone)})`
    : "";

/** The last things that hirers said and were told since it began; of a threat only those of whoever wrote of it. */
export function talkHtml(
  c: Callout,
  events: readonly TripEvent[],
  now: Instant,
  zone: string,
): Html {
  const talk = events.filter(
    (e) =>
      e.at >= c.openedAt - beforeMs &&
      (e.kind === "in" ||
        (e.kind === "out" && e.person !== null && (e.more.callout ?? c.n) === c.n)) &&
      (c.matter !== "threat" || e.person === c.person),
  );
  // What several people were told at once is shown once.
  const same = (a: TripEvent, b: TripEvent | undefined) =>
    b !== undefined && a.kind === "out" && b.kind === "out" && a.at === b.at && a.text === b.text;
  const shown = talk.filter((e, i) => !same(e, talk[i - 1])).slice(-shownTalk);
  const whom = (e: TripEvent) =>
    talk
      .filter((o) => o === e || same(e, o))
      .map((o) => plain(o.who))
      .join(", ");
  const line = (e: TripEvent) =>
    html`<li class="${e.kind}"><time>${sayTime(e.at, now, zone)}</time> <b>${whom(e)}</b> ${e.kind === "out" ? html`<i>told:</i> ` : ""}${e.more.edited ? html`<i>changed to:</i> ` : ""}${short(e.text, e.kind === "in" ? longest.in : longest.out)}${writtenLate(e, now, zone)}${e.more.lat === undefined ? "" : html` ${placeLink({ ...e.more, lat: e.more.lat, lon: e.more.lon ?? 0 })}`}${fileLink(e)}</li>`;
  return shown.length === 0
    ? html`<p class="quiet">Nothing was said yet.</p>`
    : html`${shown[0] !== talk[0] ? html`<p class="quiet">Earlier ones stand in the trip log.</p>` : ""}<ol class="said">${shown.map(line)}</ol>`;
}

/** An act of staff as a step. */
function actWords(act: DeskAct, time: (at: Instant) => string, name: (id: string) => string) {
  switch (act.do) {
    case "take":
      return "takes it";
    case "pass":
      return `passes it on to ${name(act.to)}`;
    case "keep":
      return "keeps it";
    case "promise":
      return `promises a call by ${time(act.at)}`;
    case "phone":
      return "is on the phone with them";
    case "heard":
      return "has spoken with them";
    case "roadside":
      return act.came
        ? "roadside assistance is there"
        : `roadside assistance: ${act.reference ? `reference ${act.reference}` : "no reference yet"}${act.arrivesAt === undefined ? "" : `, there by ${time(act.arrivesAt)}`}`;
    case "note":
      return `note: ${act.note}`;
    case "reply":
      return `writes: ${act.text}`;
    case "done":
      return `done: ${act.outcome}${act.note ? ` (${act.note})` : ""}`;
    case "aboard":
      return "writes down who is aboard";
    case "read":
      return "has heard of it";
    default:
      return undefined;
  }
}

const isAlert = ({ buttons }: TripEvent["more"]) => buttons?.some((b) => b.tap.startsWith("take:"));

/**
 * What a contact was told about a call-out since they last did something about it, but for alerts of what the card shows
 * itself. `unasked`: and no answer to what they did at the desk.
 */
export function toldOf(
  c: Callout,
  events: readonly TripEvent[],
  contact: string,
  unasked = false,
): TripEvent | undefined {
  const last = events.findLast(({ kind, more }) => {
    if (more.contact !== contact) return false;
    if (kind === "staff") return more.act && "callout" in more.act && more.act.callout === c.n;
    return (
      kind === "out" &&
      more.callout === c.n &&
      (c.offeredTo === contact || !isAlert(more)) &&
      !(unasked && more.sends?.some((key) => key.startsWith(`desk:${contact}:`)))
    );
  });
  return last?.kind === "out" ? last : undefined;
}

/** Everything that was done about a call-out, in order: raised, alerted, taken, promised, reminded. */
export function stepsOf(
  c: Callout,
  events: readonly TripEvent[],
  zone: string,
  now: Instant,
  name: (id: string) => string,
): { at: Instant; text: string }[] {
  const time = (at: Instant) => sayTime(at, now, zone);
  const steps: { at: Instant; text: string; to?: string[] }[] = [];
  for (const e of events) {
    const of = e.more.callout ?? (e.more.act && "callout" in e.more.act ? e.more.act.callout : 0);
    if (of !== c.n) continue;
    if (e.kind === "staff" && e.more.act) {
      const text = actWords(e.more.act, time, name);
      if (text) steps.push({ at: e.at, text: `${plain(e.who)} ${text}` });
    } else if (e.kind === "out" && e.person === null) {
      const text = isAlert(e.more) ? "alerted" : short(e.text.split("\n")[0] ?? "", longest.out);
      const last = steps.at(-1);
      const who = e.more.contact ? name(e.more.contact) : plain(e.who);
      // One message to several people is one step.
      if (last?.to && last.at === e.at && last.text === text) {
        if (!last.to.includes(who)) last.to.push(who);
      } else steps.push({ at: e.at, text, to: [who] });
    } else if (e.kind === "change" && e.more.state === "nobody-yet" && steps.length === 0)
      steps.push({ at: e.at, text: `raised: ${e.more.severity ?? ""}` });
  }
  return steps.map(({ at, text, to }) => ({
    at,
    text: !to
      ? text
      : text === "alerted"
        ? `alerted ${to.join(", ")}`
        : `to ${to.join(", ")}: ${text}`,
  }));
}

/** The steps as a list that opens. */
export const stepsHtml = (
  steps: readonly { at: Instant; text: string }[],
  now: Instant,
  zone: string,
): Html =>
  html`<details data-open="steps"><summary>Steps so far (${steps.length})</summary><ol class="steps">${steps.map((s) => html`<li><time>${sayTime(s.at, now, zone)}</time> ${s.text}</li>`)}</ol></details>`;
