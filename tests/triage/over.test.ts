import { describe, expect, it } from "vitest";
import { saysOver } from "../../src/triage/over.js";

describe("a danger that is over, as hirers write it", () => {
  it.each([
    "all out, its fine now",
    "False alarm, was only the kettle",
    "smoke stopped, we’re all ok",
    "the fire is out",
    "it's gone out by itself",
    "everyone is safe",
    "the alarm has gone quiet",
    "they've driven off",
    "smell gone now, all good",
  ])("%s", (words) => {
    expect(saysOver(words)).toBe(true);
  });
  // "Good to hear" to any of these would be cruel, or kill.
  it.each([
    "she's out cold",
    "he is gone",
    "the alarm has gone off",
    "fire is out of control",
    "water is over the bonnet",
    "we are not ok",
    "we're ok but he is still inside",
    "is it safe now?",
    "everyone is out except my dad",
    "nobody is fine here",
    "it's coming out of the dash",
    "gas is gone off again",
    "all four of us",
    "it's over the wheels now",
    "it's gone dark in here",
    "his heart, it stopped",
    "my shoulder, it's out",
  ])("is not told by: %s", (words) => {
    expect(saysOver(words)).toBe(false);
  });
});
