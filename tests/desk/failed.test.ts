/** What met an error of ours is shown at the desk, with the way to whom it was from. */
import { describe, expect, it } from "vitest";
import { failedHtml } from "../../src/desk/waits/others.js";
import { noon } from "../kit/small-house.js";

describe("what met an error", () => {
  it("names the hire and the arrival, and nothing is shown where there was none", () => {
    const rows = [
      { key: "tg:1:2", lane: "hire:h1", receivedAt: noon },
      { key: "gw:<3>", lane: "chat:gateway:+447700900500", receivedAt: noon },
    ];
    const shown = failedHtml(rows, noon, "Europe/London").toString();
    expect(shown).toContain('<a href="/desk/hires/h1">this hire</a> <code>tg:1:2</code>');
    expect(shown).toContain("a talk without a hire <code>gw:&lt;3&gt;</code>");
    expect(failedHtml([], noon, "Europe/London").toString()).toBe("");
  });
});
