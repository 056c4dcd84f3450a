/**
 * Dangers and what must not move, one act a screen. Each screen is the target of a link, so the page needs
 * no script: "back" of the browser goes one act back, and a screen reader reads the act that it comes to. Pure.
 */
import { fill } from "../../../knowledge/placeholders.js";
import type { End, Question } from "../../../knowledge/schema.js";
import { type Html, html } from "../../../pages/html.js";
import { type Act, allActs, type Guided } from "../../../wording/acts.js";
import { phrase } from "../../../wording/say.js";
import { linked, pictureName, pictureSize, severities } from "../message.js";
import { guideShell, type Shown } from "./frame.js";

/** The screen of an entry's nth act, from 1; of the check at a path of choices. */
export const actId = (entry: string, n: number): string => `${entry}-${n}`;
const checkId = (entry: string, path: readonly number[]) => [entry, "check", ...path].join("-");

type Screen = { id: string; guided: Guided; part: string; body: Html; back: string; next?: string };

function screen({ id, guided, part, body, back, next }: Screen): Html {
  const { shape, words } = severities[guided.severity];
  return html`<section class="act ${guided.severity}" id="${id}" tabindex="-1" aria-labelledby="${id}-h">
<h1 id="${id}-h"><span aria-hidden="true">${shape}</span> <span class="unseen">${words}: </span>${guided.title}</h1>
<p class="part">${part}</p>
${body}
<p class="go"><a class="back" href="#${back}">Back</a>${next ? html`<a class="next" href="#${next}">Next</a>` : html`<a class="next" href="/chat">Write to us</a>`}</p>
</section>`;
}

const drawing = (shown: Shown, id: string): Html => {
  const { width, height } = pictureSize(id);
  return html`<img src="/pictures/${id}.svg" alt="Drawing: ${pictureName(shown.view.book, id)}" width="${width}" height="${height}" loading="lazy">`;
};

const actBody = (
  shown: Shown,
  act: Act,
): Html => html`${act.picture ? drawing(shown, act.picture) : ""}
${act.lines.map((l) => html`<p class="say">${linked(l, shown.view)}</p>`)}
${act.cautions.map((c) => html`<p class="care">Take care: ${linked(c, shown.view)}</p>`)}
${act.nevers.length > 0 ? html`<ul class="never">${act.nevers.map((n) => html`<li>✗ ${linked(n, shown.view)}</li>`)}</ul>` : ""}`;

/** The screens of a guided check: a question, or where its path ends. */
function checkScreens(shown: Shown, guided: Guided, last: string): Html[] {
  const { voice, view } = shown;
  const out: Html[] = [];
  const said = (text: string) => html`<p class="say">${linked(text, view)}</p>`;
  const end = ({ end, say, goTo }: End) => html`${said(fill(say, voice.values))}
${said(phrase(voice, end === "cleared" ? "tell-us-too" : "ring-firm"))}
${goTo ? html`<p><a class="wide" href="/chat/guide#e-${goTo}">Read on about this</a></p>` : ""}`;
  const walk = (node: Question | End, path: readonly number[], back: string): void => {
    const id = checkId(guided.id, path);
    const isEnd = !("ask" in node);
    const body = isEnd
      ? end(node)
      : html`${said(fill(node.ask, voice.values))}${node.options.map((o, i) => html`<p><a class="wide" href="#${checkId(guided.id, [...path, i])}">${fill(o.say, voice.values)}</a></p>`)}`;
    out.push(screen({ id, guided, part: "Look and choose", body, back, next: last }));
    if (!isEnd) for (const [i, o] of node.options.entries()) walk(o.then, [...path, i], id);
  };
  if (guided.check) walk(guided.check, [], actId(guided.id, guided.acts.length - 1));
  return out;
}

function screens(shown: Shown, guided: Guided): Html[] {
  const { acts, check } = guided;
  const last = actId(guided.id, acts.length);
  const drawn = acts.map((act, i) => {
    const n = i + 1;
    const beforeLast = n === acts.length - 1 && check;
    return screen({
      id: actId(guided.id, n),
      guided,
      part: `${n} of ${acts.length}. This page tells nobody.`,
      body: actBody(shown, act),
      back:
        n === 1 ? "all" : n === acts.length && check ? checkId(guided.id, []) : actId(guided.id, i),
      ...(n === acts.length
        ? {}
        : { next: beforeLast ? checkId(guided.id, []) : actId(guided.id, n + 1) }),
    });
  });
  return [...drawn.slice(0, -1), ...checkScreens(shown, guided, last), ...drawn.slice(-1)];
}

/** The page at /chat/steps. */
export function stepsPage(shown: Shown): Html {
  const { voice, booking } = shown;
  const all = allActs(voice.book, voice, booking.van.registration);
  const list = (severity: Guided["severity"], heading: string) => {
    const { shape } = severities[severity];
    return html`<h2><span aria-hidden="true">${shape}</span> ${heading}</h2>
<ul class="choose ${severity}">${all
      .filter((g) => g.severity === severity)
      .map((g) => html`<li><a href="#${actId(g.id, 1)}">${g.title}</a></li>`)}</ul>`;
  };
  return guideShell(
    shown,
    "/chat/steps",
    "Step by step",
    html`<div class="index" id="all" tabindex="-1"><h1>Step by step</h1>
<p>${phrase(voice, "guide-tells-nobody")}</p>
${list("danger", "Danger: what has happened?")}
${list("stop", "Do not drive on: what do you see?")}</div>
${all.map((g) => screens(shown, g))}`,
  );
}
