/** The whole guide of the visitor's van on one page, to be read, searched and printed. Pure. */
import { actsOn, type Entry } from "../../../knowledge/book.js";
import { type Html, html } from "../../../pages/html.js";
import { isGrave } from "../../../severity.js";
import { type GuideEntry, type GuidePart, guideParts } from "../../../wording/guide.js";
import { phrase } from "../../../wording/say.js";
import { blocks, pictureName, pictureSize, severities } from "../message.js";
import { guideShell, type Shown } from "./frame.js";
import { actId } from "./steps-page.js";

/** Where an entry is read: its acts one by one where life or the van is at stake, else its place in the guide. */
export const placeOf = (entry: Entry): string => {
  const severity = actsOn(entry);
  return isGrave(severity) ? `/chat/steps#${actId(entry.id, 1)}` : `/chat/guide#e-${entry.id}`;
};

const drawing = (shown: Shown, id: string, loading: "lazy" | "eager"): Html => {
  const { width, height } = pictureSize(id);
  return html`<img${width === height ? html` class="small"` : ""} src="/pictures/${id}.svg" alt="Drawing: ${pictureName(shown.view.book, id)}" width="${width}" height="${height}" loading="${loading}">`;
};

function article(shown: Shown, entry: GuideEntry, whole: boolean): Html {
  const { id, title, severity, lines, pictures } = entry;
  const sign = severity && severities[severity];
  const steps = isGrave(severity);
  return html`<article id="e-${id}" class="entry ${severity ?? ""}">
<h3>${title}</h3>
${sign ? html`<p class="severity"><span aria-hidden="true">${sign.shape}</span> ${sign.words}</p>` : ""}
${steps ? html`<p class="to-steps"><a class="wide" href="/chat/steps#${actId(id, 1)}">Step by step</a></p>` : ""}
${blocks(lines.join("\n"), shown.view)}
${pictures.map((p) => drawing(shown, p, whole ? "eager" : "lazy"))}
</article>`;
}

/** The numbered sheet, and which number is which light. */
function lightSheet(shown: Shown, whole: boolean): Html {
  const { book } = shown.view;
  return html`<div class="sheet">${drawing(shown, "lights-sheet", whole ? "eager" : "lazy")}
<ol>${book.lightSheet.flatMap((id) => {
    const entry = book.entries.get(id);
    return entry ? [html`<li><a href="${placeOf(entry)}">${entry.title}</a></li>`] : [];
  })}</ol></div>`;
}

function part(shown: Shown, { id, title, entries }: GuidePart, whole: boolean): Html {
  return html`<details class="part" id="part-${id}"${whole ? html` open` : ""}><summary><h2>${title}</h2></summary>
${id === "lights" ? html`<p>${phrase(shown.voice, "light-colours")}</p>${lightSheet(shown, whole)}` : ""}
${entries.map((e) => article(shown, e, whole))}</details>`;
}

/** The page at /chat/guide. `whole`: everything open, as it is printed. */
export function guidePage(shown: Shown, whole: boolean): Html {
  const { voice } = shown;
  return guideShell(
    shown,
    "/chat/guide",
    "Guide",
    html`<h1>${voice.van.name}: the guide</h1>
<p>${voice.van.description}. ${phrase(voice, "guide-tells-nobody")}</p>
<form id="find" role="search"><label for="words">Find in the guide</label>
<input id="words" type="search" autocomplete="off" maxlength="600"></form>
<div id="found" role="status"></div>
<p><a class="wide urgent" href="/chat/steps"><span aria-hidden="true">▲</span> Danger, a red light or a breakdown: step by step</a></p>
${guideParts(voice.book, voice).map((p) => part(shown, p, whole))}
<p class="print"><a class="wide" href="/chat/guide?whole=1">Everything open, to print or save</a></p>
<p class="print"><a class="wide" href="/chat/card">Card for the visor</a></p>`,
  );
}
