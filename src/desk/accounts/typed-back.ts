/** What somebody typed into a form that was not kept, since they were signed out by then. Pure. */
import { type Html, html } from "../../pages/html.js";
import { type Form, text } from "../read-forms.js";

/** What nobody types, and passwords. */
const notShown = /^(csrf|id|do|hire|callout|base|was|shown|person|password|old|fresh|again)$/;

/** The words to copy, each below the name of its field; nothing where none were typed. */
export function typedBack(form: Form): Html {
  const words = Object.keys(form).filter((name) => !notShown.test(name) && text(form, name) !== "");
  return words.length === 0
    ? html``
    : html`<section><h2>What you typed</h2><p>Copy what you need of it before you sign in.</p>${words.map((name) => html`<h3>${name}</h3><blockquote class="words">${text(form, name)}</blockquote>`)}</section>`;
}
