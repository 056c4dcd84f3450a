/** A photo of a kind that cannot be shown here: said so where it would stand, and its original offered. Pure. */
import { type Html, html } from "../../pages/html.js";
import { canBeShown } from "../../wording/pictures.js";

/** In place of the picture; `original` is the way to the file as it came. */
export const unshown = (original: string, type: string): Html =>
  html`<span class="noshow">Kept as it came. ${canBeShown(type) ? "This photo" : "A HEIC photo"} cannot be shown here: <a href="${original}" download>download the original</a>.</span>`;
