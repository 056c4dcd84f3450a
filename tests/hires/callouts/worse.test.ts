/** A matter that gets worse while nobody has it yet: the next contact is alerted, and whoever was before reads it. */
import { describe, expect, it } from "vitest";
import { hireWith, type Play } from "../../kit/hire.js";

const at = "2026-06-03T12:00+01:00";
/** What this contact reads in the latest step. */
const to = (play: Play, contact: string) =>
  play
    .duty()
    .filter((d) => d.contact === contact)
    .map((d) => d.text);

describe("whoever was alerted first", () => {
  it("reads that a soon has become a stop, and by which words", () => {
    const play = hireWith("curlew", { at }).says("something orange is lit up, drives fine");
    expect(to(play, "morag").join()).toContain("SOON");
    play.pass(15).says("something red is lit up");
    expect(play.callouts()).toMatchObject([{ severity: "stop" }]);
    expect(to(play, "isla").join()).toContain("Somebody must answer by");
    const told = to(play, "morag");
    expect(told).toHaveLength(1);
    expect(told[0]).toMatch(/^STOP now: .*\nVan SX26 ABC .*\nAnn: "something red is lit up"$/);
    expect(play.sends.find((s) => s.contact === "morag")).toMatchObject({ ring: true });
  });
  it("reads that the place is not safe, and that a child is there, with the button to take it", () => {
    const unsafe = hireWith("curlew", { at }).says("red oil can light came on");
    unsafe.taps("place:unsafe:1");
    expect(to(unsafe, "morag")).toEqual([
      "URGENT now: Red oil can: oil pressure (the place is not safe)\nVan SX26 ABC (Curlew)",
    ]);
    expect(unsafe.sends.find((s) => s.contact === "morag")?.message.buttons).toHaveLength(1);
    const child = hireWith("curlew", { at }).says("red oil can light came on").taps("need:child:1");
    expect(to(child, "morag").join()).toMatch(/^URGENT now: .* \(a child\)/);
    expect(to(child.taps("need:alone:1"), "morag").join()).not.toContain("URGENT now");
  });
  it("reads what words tell of need once more as what they make of it", () => {
    const play = hireWith("curlew", { at }).says("red oil can light came on");
    const told = to(play.says("I am alone and freezing"), "morag");
    expect(told.filter((text) => text.startsWith("URGENT now"))).toHaveLength(1);
  });
  it("reads nothing of it twice where it is alerted anew", () => {
    const play = hireWith("curlew", { at }).says("red oil can light came on");
    play.says("there is smoke coming out of the engine");
    for (const contact of ["morag", "isla"]) expect(to(play, contact)).not.toEqual([]);
    for (const contact of ["morag", "isla", "callum"])
      expect(to(play, contact).filter((text) => text.includes("now:"))).toEqual([]);
  });
});
