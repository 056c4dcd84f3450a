/** Dangers and stops as acts: in the order of the triage rules, whole, and claiming nothing. */
import { describe, expect, it } from "vitest";
import { actsOn, concerns } from "../../src/knowledge/book.js";
import { allActs } from "../../src/wording/acts.js";
import { guideParts } from "../../src/wording/guide.js";
import { voiceFor } from "../../src/wording/say.js";
import { book } from "../kit/hire.js";

const nations = [...book.regions.values()].flatMap((r) => Object.keys(r.nations));

describe.each([...book.vans.keys()])("the acts for %s", (van) => {
  const voice = voiceFor(book, van, "gb", "en");
  const all = allActs(book, voice, "SX26 ABC");
  it("hold every danger and every stop of the van", () => {
    const wanted = [...book.entries.values()].filter(
      (e) =>
        concerns(e, voice.van) &&
        ["danger", "stop"].includes(actsOn(e) ?? "") &&
        (e.kind !== "fault" || e.text !== undefined),
    );
    expect(all.map((g) => g.id).sort()).toEqual(wanted.map((e) => e.id).sort());
    expect(all.length).toBeGreaterThan(30);
  });
  it("begin a danger with the number of the region, and end with us", () => {
    for (const { acts } of all.filter((g) => g.severity === "danger")) {
      expect(acts[0]?.lines[0]).toMatch(/999 or 112/);
      expect(acts.at(-1)?.lines.join(" ")).toContain(book.firm.phone);
    }
    const irish = allActs(book, voiceFor(book, van, "ie", "en"), "SX26 ABC");
    expect(irish[0]?.acts[0]?.lines[0]).toMatch(/112 or 999/);
  });
  it("begin a stop in traffic with stopping, name the firm before roadside assistance, and that only after ringing twice", () => {
    const oil = all.find((g) => g.id === "oil-pressure");
    expect(oil?.acts[0]?.lines[0]).toBe("Driving? Stop somewhere safe before you read on.");
    for (const { acts } of all.filter((g) => g.severity === "stop")) {
      const last = acts.at(-1)?.lines ?? [];
      const us = last.findIndex((l) => l.includes(book.firm.phone));
      // Where the place is not safe both are rung at once; that line stands apart.
      const roadside = last.findIndex((l) => l.includes("960199") && !l.includes("not safe"));
      expect(us).toBeGreaterThanOrEqual(0);
      if (roadside >= 0) {
        expect(us).toBeLessThan(roadside);
        expect(last[roadside]).toContain("twice");
      }
    }
  });
  it("claim of nobody that they were told, and leave no placeholder open, in every nation", () => {
    for (const nation of nations) {
      const there = voiceFor(book, van, nation, "en");
      const texts = [
        ...allActs(book, there, "SX26 ABC").flatMap((g) =>
          g.acts.flatMap((a) => [g.title, ...a.lines, ...a.cautions, ...a.nevers]),
        ),
        ...guideParts(book, there).flatMap((p) => p.entries.flatMap((e) => [e.title, ...e.lines])),
      ];
      expect(texts.length).toBeGreaterThan(500);
      const claims = /I am alerting|I have alerted|have been told|help is on/i;
      expect(texts.filter((t) => claims.test(t) || /\{[a-z]/.test(t))).toEqual([]);
    }
  });
});
