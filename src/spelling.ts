/** How near two words are as they are written. Pure. */

/** Whether two words differ by one letter added, lost, changed or swapped with its neighbour. */
export function oneSlip(a: string, b: string): boolean {
  if (a === b) return false;
  const [short, long] = a.length <= b.length ? [a, b] : [b, a];
  let i = 0;
  while (i < short.length && short[i] === long[i]) i++;
  if (long.length - short.length === 1) return short.slice(i) === long.slice(i + 1);
  if (long.length !== short.length) return false;
  const changed = short.slice(i + 1) === long.slice(i + 1);
  return (
    changed ||
    (short[i] === long[i + 1] &&
      short[i + 1] === long[i] &&
      short.slice(i + 2) === long.slice(i + 2))
  );
}
