/** A photo of a kind that cannot be shown here: said so where it would stand, and its original offered. Pure. */
import { type Html, html } from "../../pages/html.js";

/**
 * Whether a copy of such a picture can be made. Not of HEIC: the build of libvips that comes with sharp decodes
 * AVIF alone of that family, and of the browsers only one shows it.
 */
export const canBeShown = (type: string): boolean => !/^image\/hei[cf]/.test(type);

/** In place of the picture; `original` is the way to the file as it came. */
export const unshown = (original: string, type: string): Html =>
  html`<span class="noshow">Kept as it came. ${canBeShown(type) ? "This photo" : "A HEIC photo"} cannot be shown here: <a href="${original}" download>download the original</a>.</span>`;
