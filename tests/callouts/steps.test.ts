import { describe, expect, it } from "vitest";
import { readIso } from "../../src/calendar.js";
import { end, open, pass, promise, raise, ringNext, take } from "../../src/callouts/steps.js";
import { readBook } from "../../src/knowledge/read.js";

const { firm } = readBook().book;
const now = readIso("2026-06-03T21:00+01:00");
const stop = open(
  1,
  { kind: "light", matter: "oil-pressure", title: "Oil", severity: "stop", person: "p1" },
  firm,
  now,
);
const danger = open(
  2,
  { kind: "danger", matter: "fire", title: "Fire", severity: "danger", person: "p1" },
  firm,
  now,
);
const order = ["callum", "isla", "morag"];

describe("a call-out", () => {
  it("tries the contacts one after the other, then starts again with a longer pause", () => {
    const pauses: number[] = [];
    const rung: string[] = [];
    let c = stop;
    for (let i = 0; i < 5; i++) {
      const step = ringNext(c, order, firm, now);
      c = step.callout;
      rung.push(...step.ring);
      pauses.push((step.againAt - now) / 60_000);
    }
    expect(rung).toEqual(["callum", "isla", "morag", "callum", "isla"]);
    expect(pauses).toEqual([5, 5, 5, 10, 10]);
  });
  it("alerts everybody at once in danger, and again every two minutes", () => {
    const step = ringNext(danger, order, firm, now);
    expect(step.ring).toEqual(order);
    expect((step.againAt - now) / 60_000).toBe(2);
    expect(ringNext(step.callout, order, firm, now).ring).toEqual(order);
  });
  it("never leaves its owner silently: another who takes it makes the owner be asked", () => {
    const mine = take(stop, "callum").callout;
    expect(mine).toMatchObject({ state: "with", with: "callum" });
    expect(take(mine, "isla")).toMatchObject({ became: "ask-owner", callout: { with: "callum" } });
    expect(take(pass(mine, "isla"), "isla")).toMatchObject({
      became: "taken",
      callout: { with: "isla" },
    });
  });
  it("only rises in severity while it is open", () => {
    expect(raise(stop, "soon", firm, now).severity).toBe("stop");
    expect(raise(stop, "danger", firm, now).severity).toBe("danger");
  });
  it("makes every earlier due stale with each step", () => {
    const generations = [
      stop,
      ringNext(stop, order, firm, now).callout,
      take(stop, "isla").callout,
      promise(stop, "isla", now),
      end(stop, "other", now),
    ].map((c) => c.generation);
    expect(generations).toEqual([0, 1, 1, 1, 1]);
  });
  it("ends with an outcome and keeps no promise open", () => {
    expect(end(promise(stop, "isla", now), "by-advice", now)).toMatchObject({
      state: "done",
      outcome: "by-advice",
    });
    expect(end(promise(stop, "isla", now), "by-advice", now)).not.toHaveProperty("promisedAt");
  });
});
