/** How near two words are as they are written. */
import { expect, it } from "vitest";
import { oneSlip } from "../src/spelling.js";

it("a slip is one letter added, lost, changed or swapped with its neighbour", () => {
  for (const [a, b] of [
    ["quater", "quarter"],
    ["oill", "oil"],
    ["whoel", "wheel"],
    ["whele", "wheel"],
  ] as const)
    expect([oneSlip(a, b), oneSlip(b, a)], a).toEqual([true, true]);
  for (const [a, b] of [
    ["oil", "oil"],
    ["oil", "oxygen"],
    ["wehle", "wheel"],
    ["level", "lever arm"],
  ] as const)
    expect(oneSlip(a, b), a).toBe(false);
});
