import { describe, expect, it } from "vitest";
import { interval } from "../../scripts/evaluation/figures.js";

describe("the interval of a share", () => {
  it.each([
    // Newcombe 1998 (Statistics in Medicine 17, table I, method 3): 81 of 263, 15 of 148, 0 of 20, 1 of 29.
    [81, 263, "25.5–36.6"],
    [15, 148, "6.2–16.0"],
    [0, 20, "0.0–16.1"],
    [1, 29, "0.6–17.2"],
    [20, 20, "83.9–100.0"],
  ])("of %d of %d is %s percent", (right, of, wanted) => {
    expect(interval({ right, of })).toBe(wanted);
  });
  it("of none missed still has an upper end", () => {
    expect(interval({ right: 0, of: 300 })).toBe("0.0–1.3");
  });
  it("of nothing is empty", () => {
    expect(interval({ right: 0, of: 0 })).toBe("");
  });
});
