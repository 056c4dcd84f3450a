/** Why a message was taken for what it was: its words read anew, with every figure of the decision. */
import { Router } from "express";
import { type Instant, sayTime } from "../calendar.js";
import type { Hire } from "../hires/hire.js";
import { type Choice, understand } from "../hires/understand.js";
import { laneOf } from "../lanes.js";
import type { Matcher } from "../matching/matcher.js";
import { nearestAsk } from "../matching/why.js";
import { type Html, html } from "../pages/html.js";
import { eventsOf, type TripEvent } from "../store/events.js";
import { type DeskParts, type Entry, send } from "./entry.js";
import { deskPage } from "./frame.js";

/** Whether it is words of a hirer: no button, photo or place. */
const isWords = ({ kind, person, text, more }: TripEvent): boolean =>
  kind === "in" &&
  person !== null &&
  text.trim() !== "" &&
  more.tap === undefined &&
  more.file === undefined &&
  more.lat === undefined;

/** The link beside a message of a hirer; nothing beside anything else. */
export const whyLink = (hire: Hire, event: TripEvent): Html =>
  isWords(event)
    ? html` <a href="/desk/hires/${hire.id}/why?n=${event.n}" aria-label="why it was understood so">why</a>`
    : html``;

const outcomes: Record<Choice["outcome"], string> = {
  answer: "Answer it",
  choices: "Offer a choice",
  triage: "Ask what is needed, and tell what to do",
  lacks: "Say that this van has none",
  courtesy: "A friendly line",
  person: "Hand it to a person",
};
const acts: Record<string, string> = {
  tell: "tell the first at once",
  offer: "offer a choice",
  person: "hand it to a person",
};

const list = (heading: string, of: readonly (string | Html)[], none: string): Html =>
  html`<section><h2>${heading}</h2>${of.length === 0 ? html`<p>${none}</p>` : html`<ul>${of.map((one) => html`<li class="words">${one}</li>`)}</ul>`}</section>`;

/** The page of one message. */
function whyPage(
  hire: Hire,
  event: TripEvent,
  choice: Choice,
  matcher: Matcher,
  now: Instant,
): Html {
  const { why } = choice;
  const { book } = matcher;
  const nearest = nearestAsk(matcher, why);
  const title = (id: string) => book.entries.get(id)?.title ?? id;
  const told = choice.entries.slice(0, choice.outcome === "choices" ? 3 : choice.answered);
  const percent = (p: number) => `${(p * 100).toFixed(1)} %`;
  const costs = Object.entries(why.costs).sort(([, a], [, b]) => a - b);
  return html`<h1>Why it was understood so</h1>
<p><a href="/desk/hires/${hire.id}"><span class="plate">${hire.booking.van.registration}</span></a> ${sayTime(event.at, now, hire.booking.zone)} <b>${event.who.replace(/^hirer:/, "")}</b>: <span class="words">${event.text}</span></p>
<p>Read anew for this page, for a ${hire.booking.van.type} and without the talk before it: what was answered then may differ where it followed from that talk, from an open question, or from answers changed since.</p>
<section><h2>The choice</h2><p><b>${outcomes[choice.outcome]}</b>${told.length > 0 ? html`: ${told.map((e) => title(e.id)).join(" · ")}` : ""}${choice.lacks ? html` (${title(choice.lacks)})` : ""}</p>
${choice.danger ? html`<p>${choice.doubt ? "May be a danger, so the emergency number and one question come first" : "A danger"}: ${title(choice.danger)}</p>` : ""}</section>
<section><h2>What it may be about</h2><div class="scroll"><table><thead><tr><th>Probability</th><th>Entry</th><th>Words</th><th>Model</th></tr></thead><tbody>
${why.entries.map((e) => html`<tr><td>${percent(e.p)}</td><td>${title(e.id)} <code>${e.id}</code></td><td>${e.bm.toFixed(2)}</td><td>${e.model.toFixed(2)}</td></tr>`)}
<tr><td>${percent(why.none)}</td><td>None of ours</td><td></td><td></td></tr>
</tbody></table></div><p>Words: how many rare words it shares with the entry's asks (BM25F). Model: the trained model's score. The first entry's own words cover ${percent(why.cover)} of the message, rare words counting more.</p></section>
${list("Words as read", why.words.length > 0 ? [why.words.join(" ")] : [], "None.")}
${list("Put right", why.corrected, "Nothing.")}
${list("Meanings", why.meanings.length > 0 ? [why.meanings.join(", ")] : [], "None.")}
${list("Nearest ask of the first entry", nearest === undefined ? [] : [nearest], "It shares no word with any.")}
${list(
  "What each act would cost, the least first",
  costs.map(([act, cost]) => `${acts[act] ?? act}: ${cost.toFixed(2)}`),
  "Not weighed: a rule decided before.",
)}
${list("For and against danger, and other rules", why.because, "Nothing spoke.")}`;
}

/** GET /desk/hires/ID/why?n=EVENT, for who is signed in. */
export function whyRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  router.get(
    "/desk/hires/:id/why",
    staff(async (req, res, who) => {
      const lane = laneOf(String(req.params["id"]));
      const state = await parts.laneState(lane);
      const n = Number(req.query["n"]);
      const [found] = Number.isSafeInteger(n) ? await eventsOf(parts.db, lane, n - 1, 1) : [];
      const event = found?.n === n && isWords(found) ? found : undefined;
      const matcher = await parts.matcherNow();
      const hire = state?.kind === "hire" ? state.hire : undefined;
      const van = hire && matcher.book.vans.get(hire.booking.van.type);
      if (!hire || !event || !van) {
        const what = !hire
          ? "This hire is not known"
          : !van
            ? "The van type of this hire is not known any more, so its words cannot be read"
            : "There is no message of a hirer with this number in this hire";
        const page = html`<h1>${what}</h1><p><a href="/desk/hires">All hires</a></p>`;
        return send(res, 404, deskPage("Why", who, page));
      }
      const { lang } = hire.booking;
      const choice = understand(matcher, { text: event.text, van, lang });
      const page = whyPage(hire, event, choice, matcher, parts.now());
      return send(res, 200, deskPage("Why", who, page));
    }),
  );
  return router;
}
