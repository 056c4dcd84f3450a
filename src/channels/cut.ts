/** Cutting a text that is too long for one message. Pure. */

/** A surrogate pair is one letter: never cut it in two. */
const splitsPair = (text: string, at: number): boolean =>
  /[\uD800-\uDBFF]/.test(text.charAt(at - 1)) && /[\uDC00-\uDFFF]/.test(text.charAt(at));

/** Cuts a text into parts of at most `most` letters: at a blank line, else a line's end, else a space. Pure. */
export function cut(text: string, most: number): string[] {
  const parts: string[] = [];
  let rest = text.trim();
  while (rest.length > most) {
    const head = rest.slice(0, most + 1);
    const at =
      [head.lastIndexOf("\n\n"), head.lastIndexOf("\n"), head.lastIndexOf(" ")].find(
        (i) => i > most / 2,
      ) ?? most;
    const end = splitsPair(rest, at) ? at - 1 : at;
    parts.push(rest.slice(0, end).trimEnd());
    rest = rest.slice(end).trimStart();
  }
  if (rest !== "") parts.push(rest);
  return parts;
}
