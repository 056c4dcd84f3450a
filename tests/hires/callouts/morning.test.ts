/** What waits for the morning: who is alerted when it comes or cannot wait any more, and what hirers read until then. */
import { describe, expect, it } from "vitest";
import { hireWith, type Play } from "../../kit/hire.js";

const night = "2026-06-03T23:10+01:00";
const alerts = (play: Play) =>
  play.duty().flatMap((d) => (/^(STOP|SOON|NOTE): /.test(d.text) ? [d.contact] : []));
/** A stop at night that the hirer agreed to leave until the morning; Callum is on duty and was alerted. */
const agreed = () => {
  const play = hireWith("curlew", { at: night }).says("red oil can light came on");
  expect(alerts(play)).toEqual(["callum"]);
  play.taps("place:safe:1").taps("need:none:1").taps("night:yes:1");
  expect(play.callouts()[0]?.waitsUntil).toBeDefined();
  return play;
};

describe("a stop that waits for the morning", () => {
  it("is put to the duty person when the night ends, though they heard of it at night", () => {
    const play = agreed();
    for (let i = 0; i < 9 && alerts(play).length === 0; i++) play.nextDue();
    expect(alerts(play)).toEqual(["callum"]);
    expect(play.duty()[0]?.text).toContain("Somebody must answer by 07:05");
    expect(play.hirer().join()).toContain("I have alerted the duty person.");
    play.nextDue();
    expect(alerts(play)).toEqual(["isla"]);
  });
  it("that cannot wait any more is put to the duty person, who believes that there is nothing to do", () => {
    const tapped = agreed().pass(170).taps("night:no:1");
    expect(alerts(tapped)).toEqual(["callum"]);
    const written = agreed().pass(170).says("my little boy is freezing");
    expect(alerts(written)).toEqual(["callum"]);
  });
});

describe("a matter that waits for the morning and gets worse", () => {
  it("waits no longer, and is put to the duty person", () => {
    const play = hireWith("curlew", { at: night }).says("amber abs light").pass(11);
    play.until(() => alerts(play).length > 0);
    play.taps("night:yes:1").pass(60).says("the abs light is red now");
    expect(play.callouts()[0]).toMatchObject({ severity: "stop" });
    expect(alerts(play)).toEqual(["callum"]);
    expect(play.callouts()[0]?.waitsUntil).toBeUndefined();
  });
});

describe("a soon at night of which nobody was alerted yet", () => {
  const none = "I could not reach anybody";
  it("is told to stand so, not that nobody could be reached", () => {
    const play = hireWith("curlew", { at: night }).says("the amber abs light is on");
    expect(alerts(play)).toEqual([]);
    for (const words of ["hm what does zzyx mean qwerty", "the amber abs light is still on"]) {
      const told = play.pass(2).says(words).hirer().join();
      expect(told).not.toContain(none);
      expect(told).toContain("I alert our staff in a few minutes");
    }
    expect(play.callouts()).toHaveLength(1);
  });
  it("that waits for the morning is told to wait when it is written again", () => {
    const play = hireWith("curlew", { at: night }).says("the amber abs light is on");
    play.taps("night:yes:1").pass(20).says("the amber abs light is still on");
    expect(play.hirer().join()).toContain("This waits until");
    expect(play.hirer().join()).not.toContain(none);
  });
  it("is told that nobody could be reached where nobody was", () => {
    const play = hireWith("curlew", { at: night, atDesk: [] }).says("red oil can light came on");
    expect(play.pass(2).says("red oil can light is still on").hirer().join()).toContain(none);
  });
});

describe("questions at night", () => {
  it("wait all, and each can be said not to", () => {
    const play = hireWith("curlew", { at: night }).says("I want to talk to a person");
    const first = play.hirer().join();
    expect(first).toContain("at Thu 4 Jun 07:00 I put this to");
    play.pass(170).says("get me a person");
    const [again] = play.sends;
    expect(again?.message.text).toContain("at 07:00 I put this to");
    expect(again?.message.buttons).toEqual([{ tap: "urgent:1", label: "It cannot wait" }]);
    expect(alerts(play.taps("It cannot wait"))).toEqual(["callum"]);
    expect(play.pass(20).says("get me a person").hirer().join()).not.toContain("It is night");
    const words = hireWith("curlew", { at: night }).says("I want to talk to a person");
    expect(alerts(words.says("it can't wait"))).toEqual(["callum"]);
  });
});
