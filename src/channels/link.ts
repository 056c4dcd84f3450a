/** A hire's link within what somebody wrote: who has it is of the hire, wherever they write. Pure. */

/** The token of a link in a text; undefined where there is none. It is a secret: never stored, never logged. */
export const linkIn = (text: string): string | undefined => /\/h\/([\w-]{22})\b/.exec(text)?.[1];

/** What a text says besides its link; empty where that is no word. */
export function besideLink(text: string): string {
  const rest = text.replace(/\S*\/h\/[\w-]{22}\b(?:[/?#]\S*)?/, " ").trim();
  return /\p{L}/u.test(rest) ? rest : "";
}
