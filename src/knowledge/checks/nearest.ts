/** What is told of a word that is none of the valid ones. Pure. */

/** Edit distance, small words: only to name the nearest valid value in an error. */
export function nearest(word: string, valid: Iterable<string>): string | undefined {
  let best: string | undefined;
  let least = Math.max(3, word.length / 2);
  for (const other of valid) {
    let row = Array.from({ length: other.length + 1 }, (_, i) => i);
    for (let i = 1; i <= word.length; i++) {
      const next = [i];
      for (let j = 1; j <= other.length; j++) {
        const swapped = (row[j - 1] ?? 0) + (word[i - 1] === other[j - 1] ? 0 : 1);
        next.push(Math.min((row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1, swapped));
      }
      row = next;
    }
    const d = row[other.length] ?? 99;
    if (d < least) [least, best] = [d, other];
  }
  return best;
}

/** That a word is none of the valid ones, and which is the nearest. */
export const unknown = (what: string, word: string, valid: Iterable<string>) => {
  const near = nearest(word, valid);
  return `unknown ${what} "${word}"${near ? `; the nearest is "${near}"` : ""}`;
};
type Valid = { has: (word: string) => boolean; keys: () => Iterable<string> };
/** That a word is none of the valid ones; undefined where it is one. */
export const unlessIn = (valid: Valid, what: string, word: string) =>
  valid.has(word) ? undefined : unknown(what, word, valid.keys());
