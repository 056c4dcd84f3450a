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
    while (alerts(play).length === 0) play.nextDue();
    play.taps("night:yes:1").pass(60).says("the abs light is red now");
    expect(play.callouts()[0]).toMatchObject({ severity: "stop" });
    expect(alerts(play)).toEqual(["callum"]);
    expect(play.callouts()[0]?.waitsUntil).toBeUndefined();
  });
});
