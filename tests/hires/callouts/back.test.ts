/** The van is back with matters open: they stay open and wake nobody, and hirers hear no more of them by themselves. */
import { describe, expect, it } from "vitest";
import { clockOf, type Instant, after as later, readIso } from "../../../src/calendar.js";
import { hireWith, type Play } from "../../kit/hire.js";

const at = (clock: string) => readIso(`2026-06-0${clock}+01:00`);
const back = (play: Play) =>
  play.staff("morag", { do: "return-record", reading: { at: play.at, by: "morag" } });
type Said = { at: Instant; to: string; text: string };
/** All that is said until then, to hirers and to staff. */
function meanwhile(play: Play, until: Instant): Said[] {
  const said: Said[] = [];
  for (;;) {
    const next = Math.min(...play.dues().map((d) => d.at));
    if (next >= until || !play.nextDue()) return said;
    for (const s of play.sends)
      said.push({ at: play.at, to: s.contact ?? "hirer", text: s.message.text });
  }
}
const atNight = (said: readonly Said[], from: string, to: string) =>
  said.filter((s) => s.at >= at(from) && s.at < at(to));
const toHirers = (said: readonly Said[]) =>
  said.flatMap((s) => (s.to === "hirer" && !s.text.startsWith("Thank you") ? [s.text] : []));

describe("what was open when the van came back", () => {
  it("with somebody who gives no sign of it, is asked after by day alone, and the hirers hear nothing", () => {
    const play = hireWith("curlew", { at: "2026-06-04T16:00+01:00" }).says("flat tyre");
    play.staff("callum", { do: "take", callout: 1 });
    const job = { reference: "R1", arrivesAt: later(play.at, 45) };
    play.staff("callum", { do: "roadside", callout: 1, ...job });
    const said = meanwhile(back(play.pass(40)), at("6T12:00"));
    expect(said.filter((s) => s.to === "callum")).not.toEqual([]);
    expect(said.filter((s) => s.to === "isla")).not.toEqual([]);
    expect(said.filter((s) => s.text.startsWith("Roadside assistance should"))).toEqual([]);
    expect(atNight(said, "4T22:00", "5T07:00")).toEqual([]);
    expect(toHirers(said)).toEqual([]);
    expect(play.callouts()[0]).toMatchObject({ state: "with", with: "callum" });
  });
  it("wakes nobody when a sign of its owner is due in the night that follows", () => {
    const play = hireWith("curlew", { at: "2026-06-04T21:50+01:00" }).says("flat tyre");
    play.staff("callum", { do: "take", callout: 1 });
    const said = meanwhile(back(play.pass(5)), at("5T12:00"));
    expect(atNight(said, "4T22:00", "5T07:00")).toEqual([]);
    expect(said.filter((s) => s.to === "callum")).not.toEqual([]);
  });
  it("with nobody, wakes nobody, however urgent it was", () => {
    const play = hireWith("curlew", { at: "2026-06-04T21:00+01:00" });
    play.says("flat tyre and we are alone");
    expect(play.callouts()[0]?.urgent).toBe(true);
    const said = meanwhile(back(play.pass(20)), at("5T08:00"));
    expect(atNight(said, "4T22:00", "5T07:00")).toEqual([]);
    expect(said.filter((s) => s.at >= at("5T07:00"))).not.toEqual([]);
    expect(toHirers(said)).toEqual([]);
  });
  it("is not offered on in the night by an owner who has gone off duty", () => {
    const play = hireWith("curlew", { at: "2026-06-04T19:30+01:00" }).says("flat tyre");
    back(play.staff("morag", { do: "take", callout: 1 })).pass(30);
    const ends = { kind: "hand-over", callout: 1, from: "morag" } as const;
    play.arrives({ kind: "due", due: "callout:1:hand", generation: 0, matter: ends });
    expect(atNight(meanwhile(play, at("5T07:00")), "4T22:00", "5T07:00")).toEqual([]);
  });
  it("a danger still wakes everybody", () => {
    const play = back(hireWith("curlew", { at: "2026-06-04T21:50+01:00" }).says("fire in the van"));
    expect(atNight(meanwhile(play, at("4T22:30")), "4T22:00", "4T22:30")).not.toEqual([]);
  });
  it("a question is still its asker's: a call that does not come is told", () => {
    const play = hireWith("curlew", { at: "2026-06-04T16:00+01:00" });
    play.says("I want to talk to a person");
    play.staff("morag", { do: "promise", callout: 1, at: at("4T18:00") });
    const said = meanwhile(back(play.pass(60)), at("4T18:30"));
    expect(toHirers(said).join()).toContain("Morag meant to ring you by 18:00.");
  });
});

describe("a check that staff were to ring about", () => {
  it("need not be rung about once the van is back, and is followed up where it was not after all", () => {
    const play = hireWith("wren");
    play.arrives({ kind: "changed", by: "morag", change: { surname: "Wood" } });
    const task = () => play.callouts().find((c) => c.matter === "ring-today");
    for (let i = 0; i < 40 && !task() && play.nextDue(); i++);
    const owner = task()?.with ?? "";
    const by = owner === "isla" ? "morag" : "isla";
    play.staff(by, { do: "return-record", reading: { at: play.at, by } });
    expect(task()?.state).toBe("done");
    expect(play.duty()).toMatchObject([
      { contact: owner, text: expect.stringContaining("No need to ring, the van is back.") },
    ]);
    play.staff("morag", { do: "not-back" });
    expect(play.dues().some((d) => d.key.startsWith("reply:"))).toBe(true);
  });
  it("is put to nobody at night, where the service slept over the evening, and to staff next morning", () => {
    const play = hireWith("wren");
    play.arrives({ kind: "changed", by: "morag", change: { surname: "Wood" } });
    const evening = () => play.dues().find((d) => d.key.endsWith(":task"))?.at;
    play.until(() => evening() !== undefined);
    play.pass(((evening() ?? play.at) - play.at) / 60_000 + 330);
    while (play.last.because.join() !== "waits for the morning" && play.nextDue());
    expect(clockOf(play.at, "Europe/London")).toBe("02:00");
    expect(play.duty()).toEqual([]);
    play.until(() => play.duty().join().length > 0);
    expect(clockOf(play.at, "Europe/London")).toBe("08:00");
    expect(play.duty().map((m) => m.text)).toContainEqual(
      expect.stringContaining("Not rung since yesterday"),
    );
  });
});
