/** One message of the talk as the hirer's page shows it. Pure. */
import { clockOf, minuteMs } from "../../calendar.js";
import { type Book, regionOf } from "../../knowledge/book.js";
import { type Html, html } from "../../pages/html.js";
import { degrees, geoUri, gridLine } from "../../place/place.js";
import type { FileRef } from "../../post.js";
import { type Severity, shapes } from "../../severity.js";
import type { TripEvent } from "../../store/events.js";
import { canBeShown } from "../../wording/pictures.js";

/** What a message is shown for: times in `zone` (IANA); `links`: what in a text becomes a link, in a group. */
export type View = { book: Book; zone: string; emergency: readonly string[]; links: RegExp };

/** The view of a hire's people, by the zone and region of their booking. */
export function viewOf(book: Book, zone: string, region: string): View {
  const phones = [book.firm.phone, ...Object.values(book.firm.contacts).map((c) => c.phone)];
  const emergency = regionOf(book, region).region.numbers;
  return { book, zone, emergency, links: linksOf(phones, emergency) };
}

/** A word and a shape beside every colour, so that the meaning does not hang on the colour alone. */
export const severities: Record<Severity, { shape: string; words: string }> = {
  danger: { shape: shapes.danger, words: "Danger" },
  stop: { shape: shapes.stop, words: "Do not drive on" },
  soon: { shape: shapes.soon, words: "Tell us today" },
  note: { shape: shapes.note, words: "For information" },
};

/** A number as a `tel:` link: spaces out, a leading + kept. */
export const dial = (number: string): string => `tel:${number.replace(/[^\d+]/g, "")}`;

const literal = (text: string) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
const units = "mm|cm|m|km|mph|miles?|kg|g|l|litres?|ml|%|°|v|w|a|ah|wh|bar|psi|hours?|minutes?";

/** Phone numbers that we gave, emergency numbers and places. */
function linksOf(phones: readonly string[], emergency: readonly string[]): RegExp {
  // Numbers of ours as they are written, and any other number of nine digits or more that begins with 0 or +.
  const numbers = [
    ...new Set(phones.map(literal)),
    "(?<![\\d.,])(?:0|\\+\\d)\\d{2,4}(?: ?\\d{3,4}){2}",
  ].join("|");
  const urgent = `(?<![\\d.,:/-]|\\d )(?:${emergency.map(literal).join("|")})(?![\\d.,:/-]*\\d| \\d)(?!\\s*(?:${units})(?![a-z]))`;
  const place = "geo:-?\\d+(?:\\.\\d+)?,-?\\d+(?:\\.\\d+)?(?:;u=\\d+)?";
  return new RegExp(`(${numbers}|${urgent}|${place})`, "i");
}

/** Text in which what the view makes links of can be tapped. */
export function linked(text: string, view: Pick<View, "links">): Html[] {
  return text.split(view.links).map((part, i) => {
    if (i % 2 === 0) return html`${part}`;
    if (part.startsWith("geo:")) return html`<a href="${part}">Open on a map</a>`;
    return html`<a class="number" href="${dial(part)}">${part}</a>`;
  });
}

/** Paragraphs, numbered steps, cautions and "never" lines of a message; nothing is left out. */
export function blocks(text: string, view: View): Html[] {
  const out: Html[] = [];
  const all = text.split("\n").filter((line) => line.trim() !== "");
  let steps: Html[] = [];
  let nevers: Html[] = [];
  const close = () => {
    if (steps.length > 0) out.push(html`<ol>${steps}</ol>`);
    if (nevers.length > 0) out.push(html`<ul class="never">${nevers}</ul>`);
    steps = [];
    nevers = [];
  };
  for (const [i, line] of all.entries()) {
    const step = /^(\d+)\. (.*)$/.exec(line);
    if (step) {
      if (nevers.length > 0) close();
      steps.push(html`<li value="${step[1]}">${linked(step[2] ?? "", view)}</li>`);
      continue;
    }
    if (line.startsWith("✗ ")) {
      if (steps.length > 0) close();
      nevers.push(html`<li>${linked(line, view)}</li>`);
      continue;
    }
    close();
    const kind = line.startsWith("Take care: ")
      ? "care"
      : i === 0 && all.length > 1
        ? "head"
        : "line";
    out.push(html`<p class="${kind}">${linked(line, view)}</p>`);
  }
  close();
  return out;
}

/** Width and height of a drawing as it is drawn, so that nothing jumps when it arrives (knowledge/pictures). */
export function pictureSize(id: string): { width: number; height: number } {
  if (id === "lights-sheet") return { width: 720, height: 1286 };
  return id.startsWith("light-") ? { width: 200, height: 200 } : { width: 560, height: 400 };
}

/** What a drawing shows, in words. */
export function pictureName(book: Book, id: string): string {
  if (id === "lights-sheet") return "numbered sheet of warning lights";
  const light = id.startsWith("light-") && book.entries.get(id.slice("light-".length));
  return light ? light.title : id.replaceAll("-", " ");
}

const picture = (view: View, id: string): Html => {
  const { width, height } = pictureSize(id);
  const name = pictureName(view.book, id);
  return html`<a class="picture${width === height ? " small" : ""}" href="/pictures/${id}.svg" target="_blank" rel="noopener"><img src="/pictures/${id}.svg" alt="Drawing: ${name}. Opens large." width="${width}" height="${height}" loading="lazy"></a>`;
};

/** When it was written, and when it reached us if that was later. */
function when(event: TripEvent, zone: string): Html {
  const at = clockOf(event.at, zone);
  const written = event.kind === "in" ? event.more.writtenAt : undefined;
  const late = written !== undefined && event.at - written > 2 * minuteMs;
  return html`<time datetime="${new Date(event.at).toISOString()}">${late ? `written ${clockOf(written as typeof event.at, zone)}, reached us ${at}` : at}</time>`;
}

/** The local day in words: "Wednesday 3 June". */
export const dayWords = (at: number, zone: string): string =>
  new Intl.DateTimeFormat("en-GB", {
    weekday: "long",
    day: "numeric",
    month: "long",
    timeZone: zone,
  })
    .format(at)
    .replace(",", "");

/** A photo that the hirer sent, or the way to it where few browsers show its kind. */
const sentPhoto = ({ id, kind }: FileRef): Html =>
  canBeShown(kind)
    ? html`<a class="photo" href="/chat/photo/${id}" target="_blank" rel="noopener"><img src="/chat/photo/${id}" alt="The photo that you sent. Opens large." loading="lazy"></a>`
    : html`<p class="own"><a href="/chat/photo/${id}" download>My photo (HEIC), as it was sent</a></p>`;

/** One message. `chosen`: the button of it that was tapped; `latest`: the page opens here without script. */
export function messageHtml(event: TripEvent, view: View, chosen?: string, latest = false): Html {
  const { more } = event;
  const mine = event.kind === "in";
  // A line of news about an open matter repeats no order: only what is told in full has the heading.
  const severity = !mine && event.text.includes("\n") ? more.severity : undefined;
  const sign = severity && severities[severity];
  const place =
    more.lat === undefined
      ? undefined
      : { lat: more.lat, lon: more.lon ?? 0, accuracyM: more.accuracyM };
  return html`<li${latest ? html` id="latest"` : ""} class="${mine ? "mine" : "theirs"}${severity ? ` ${severity}` : ""}" data-n="${event.n}" data-key="${mine ? (more.arrival ?? "") : ""}" data-day="${dayWords(event.at, view.zone)}">
${sign ? html`<p class="severity"><span aria-hidden="true">${sign.shape}</span> ${sign.words}</p>` : ""}
${mine ? (event.text ? html`<p class="own">${event.text}</p>` : "") : blocks(event.text, view)}
${place ? html`<p class="own">My place: <a href="${geoUri(place)}">${gridLine(place) ?? degrees(place)}</a></p>` : ""}
${more.file ? sentPhoto(more.file) : ""}
${(more.pictures ?? []).map((id) => picture(view, id))}
${(more.buttons ?? []).length > 0 ? html`<form method="post" action="/chat/tap" class="taps">${(more.buttons ?? []).map((b) => html`<button name="tap" value="${b.tap}"${b.tap === chosen ? html` class="chosen" aria-pressed="true"` : ""}>${b.label}</button>`)}</form>` : ""}
${more.askPlace === undefined ? "" : html`<p class="taps share"><button type="button">${more.askPlace}</button></p>`}
${when(event, view.zone)}
</li>`;
}

/** Which button of each message was tapped, by the message's number. */
export function tapped(events: readonly TripEvent[]): Map<number, string> {
  const found = new Map<number, string>();
  const later = new Set<string>();
  for (const event of [...events].reverse()) {
    if (event.more.tap !== undefined) later.add(event.more.tap);
    for (const { tap } of event.more.buttons ?? []) {
      if (later.has(tap) && !found.has(event.n)) found.set(event.n, tap);
      // A tap belongs to the latest message that offered it.
      later.delete(tap);
    }
  }
  return found;
}
