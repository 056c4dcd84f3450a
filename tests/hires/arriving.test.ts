/** When hirers say that they bring the van back: the board has it, and who is on duty hears what others wait for. */
import { describe, expect, it } from "vitest";
import { after, isoIn } from "../../src/calendar.js";
import { hireWith, type Play } from "../kit/hire.js";

/** A hire to Tuesday 9 June 12:00, asked by the given reminder for its arrival. */
function asked(rule: string): Play {
  const play = hireWith("curlew");
  play.arrives({ kind: "booked", booking: play.hire().booking });
  const sent = () => play.hire().sentReminders.some((s) => s.rule === rule);
  return play.until(sent);
}
const duty = (play: Play) => play.duty().map((d) => `${d.contact}: ${d.text}`);
const kept = (play: Play) => {
  const { arrival } = play.hire();
  return arrival && isoIn(arrival.at, "Europe/London").slice(0, 16);
};

describe("asked a day before", () => {
  it.each([
    ["as agreed", "2026-06-09T12:00"],
    ["11:30", "2026-06-09T11:30"],
    ["we will be back half an hour early", "2026-06-09T11:30"],
    ["half an hour early", "2026-06-09T11:30"],
  ])("%s: is kept, and nobody need be told", (words, at) => {
    const play = asked("return-24h").says(words);
    expect([kept(play), duty(play)]).toEqual([at, []]);
  });
  it.each([
    ["15:00", "2026-06-09T15:00"],
    ["an hour later", "2026-06-09T13:00"],
  ])("%s: later than agreed, who is on duty hears it", (words, at) => {
    const play = asked("return-24h").says(words);
    expect(kept(play)).toBe(at);
    expect(duty(play)).toEqual([expect.stringMatching(/^morag: SX26 ABC .*Ann brings it back at/)]);
  });
});

it("is asked about tomorrow until midnight, and not after it, however late the message gets through", () => {
  const until = asked("return-24h").sends.map((s) => s.until && isoIn(s.until, "Europe/London"));
  expect(until).toEqual([expect.stringMatching(/^2026-06-09T00:00/)]);
});

it("counts no more once the return is moved", () => {
  const play = asked("return-24h").says("11:30");
  const { returnAt } = play.hire().booking;
  play.arrives({ kind: "changed", by: "morag", change: { surname: "Reed" } });
  expect(kept(play)).toBe("2026-06-09T11:30");
  play.arrives({ kind: "changed", by: "morag", change: { returnAt: after(returnAt, 24 * 60) } });
  expect(kept(play)).toBeUndefined();
});

it("is asked for no more once the return is moved, until it is asked of the new one", () => {
  const play = asked("return-24h");
  const returnAt = after(play.hire().booking.returnAt, 3 * 24 * 60);
  play.arrives({ kind: "changed", by: "morag", change: { returnAt } });
  play.says("15:00");
  expect(kept(play)).toBeUndefined();
  expect(duty(play).join()).not.toContain("brings it back");
  play.until(() => play.last.because.join().includes("return-24h"));
  expect(kept(play.says("11:30"))).toBe("2026-06-12T11:30");
});

it("elsewhere on the way is none of the van's return", () => {
  for (const words of ["We arrive in Mallaig at 3, lovely", "we'll be in Ullapool by 3"])
    expect(kept(asked("return-24h").says(words)), words).toBeUndefined();
  for (const words of ["we arrive in Inverlarig at 3", "arriving at your yard at 3"])
    expect(kept(asked("return-24h").says(words)), words).toBe("2026-06-09T15:00");
});

it("of a hire in another zone is told to staff by both clocks", () => {
  const play = asked("return-24h");
  play.arrives({ kind: "changed", by: "morag", change: { zone: "Europe/Paris" } });
  // Tuesday 9 June: agreed for 12:00 in Britain; 15:00 in Paris is 14:00 there.
  play.says("15:00");
  expect(duty(play).join()).toContain("Tue 9 Jun 14:00 (Tue 9 Jun 15:00 in Europe/Paris)");
  expect(duty(play).join()).toContain("later than agreed (Tue 9 Jun 12:00)");
});

describe("an arrival with the reason why it is late", () => {
  it.each([
    ["stuck in traffic, be there at 5", "2026-06-09T17:00"],
    ["we're stuck behind a tractor, be there at 5", "2026-06-09T17:00"],
    ["we won't be back before 15:00", "2026-06-09T15:00"],
    ["won't make it, about 2 hours late", "2026-06-09T14:00"],
    ["M90 shut, there was an accident ahead, be there at 3", "2026-06-09T15:00"],
    ["no help needed, back at 14:00", "2026-06-09T14:00"],
  ])("%s: is kept, and who is on duty hears it", (words, at) => {
    const play = asked("return-24h").says(words);
    expect(kept(play)).toBe(at);
    expect(duty(play).join()).toContain(`Said: "${words}"`);
    expect(play.hirer()).toHaveLength(1);
  });
  it("is kept beside a matter that is answered as well", () => {
    const play = asked("return-24h").says("the awning is broken, back at 15:00");
    expect(kept(play)).toBe("2026-06-09T15:00");
    expect(play.hirer().length).toBeGreaterThan(1);
  });
  it("is none where the words tell no coming: stuck at the gate at 5", () => {
    expect(kept(asked("return-24h").says("stuck at the gate at 5"))).toBeUndefined();
  });
});

describe("another time than was told before", () => {
  /** On the morning of the return, once the reminder of that has gone out. */
  const morning = (first = "11:30") => {
    const play = asked("return-24h").says(first);
    return play.until(() => play.hire().sentReminders.some((s) => s.rule === "return-morning"));
  };
  it.each([
    ["14:00", "2026-06-09T14:00"],
    ["running late, we will be there at 14:00", "2026-06-09T14:00"],
    ["be there at 14:00, traffic", "2026-06-09T14:00"],
    ["sorry, an hour late", "2026-06-09T13:00"],
  ])("%s: is kept, and who is on duty hears it", (words, at) => {
    const play = morning().says(words);
    expect(kept(play)).toBe(at);
    expect(duty(play)).toEqual([expect.stringMatching(/^morag: SX26 ABC .*Ann brings it back at/)]);
    expect(play.hirer().join()).toContain("noted");
  });
  it("is kept from whoever never told one, once the morning asked for it", () => {
    const play = hireWith("curlew", { at: "2026-06-03T12:00+01:00", people: ["Ann", "Ben"] });
    play.arrives({ kind: "booked", booking: play.hire().booking });
    play.until(() => play.hire().sentReminders.some((s) => s.rule === "return-morning"));
    play.says("running late, be there at 14:00", { person: "p2" });
    expect(kept(play)).toBe("2026-06-09T14:00");
  });
  it("may be that the van is back", () => {
    const play = morning().says("we're back, keys in the box");
    expect(play.hire().arrival).toEqual({ at: play.at, isBack: true });
  });
  it.each([
    "we're back",
    "we have returned the van, thanks for everything",
    "keys are in the box, lovely trip",
  ])("may be that the van is back: %s", (words) => {
    expect(morning().says(words).hire().arrival?.isBack).toBe(true);
  });
  it.each([
    "the AA will be here in 45 minutes",
    "recovery truck arrives at 4",
    "our return flight is at 18:00",
    "we will be back on the road in 20 minutes",
    "back at the campsite by 6",
    "back at the van by 6",
    "they will be here at 4",
    "the garage will be here at 4",
    "we are here, waiting for the recovery truck",
    "we are back on the road, thanks",
    "the mechanic is already here",
    "we are back at the van now",
    "he has returned with the part",
  ])("is not told of others, other places or the road: %s", (words) => {
    const play = morning().says(words);
    expect([kept(play), play.hire().arrival?.isBack]).toEqual(["2026-06-09T11:30", undefined]);
    expect(play.hirer().join()).not.toContain("noted: arrival");
  });
  it.each([
    ["the ferry docked late, so we'll be back at 14:00", "2026-06-09T14:00"],
    ["our flight is at 18:00, we'll be with you at 13:00", "2026-06-09T13:00"],
    ["back at the yard by 14:00", "2026-06-09T14:00"],
    ["back in Inverlarig at 14:00", "2026-06-09T14:00"],
  ])("may name them besides: %s", (words, at) => {
    expect(kept(morning().says(words))).toBe(at);
  });
  it("is taken from no words while they must not drive", () => {
    const play = morning().says("flat tyre").says("we should be with you at 16:00");
    expect(kept(play)).toBe("2026-06-09T11:30");
    expect(play.hirer().join()).not.toContain("noted: arrival");
  });
  it("may come again and again after the return", () => {
    const play = asked("late").says("13:30").says("sorry now 15:00");
    expect(kept(play)).toBe("2026-06-09T15:00");
  });
  it.each(["ok thanks", "2", "can we be there at 14:00?", "the heater went off at 5"])(
    "is not told by %s",
    (words) => {
      const play = morning().says(words);
      expect([kept(play), play.hirer().join().includes("noted")]).toEqual([
        "2026-06-09T11:30",
        false,
      ]);
    },
  );
});

it("is no arrival any more once the van is back by its record", () => {
  const play = asked("return-24h")
    .says("11:30")
    .pass(24 * 60);
  play.staff("morag", { do: "return-record", reading: { at: play.at, by: "morag" } });
  play.says("back home at 17:30, thanks");
  expect([kept(play), play.hirer().join().includes("noted")]).toEqual(["2026-06-09T11:30", false]);
});

describe("a photo out of the blue", () => {
  const offers = (play: Play) =>
    play.last.sends.flatMap((s) => s.message.buttons?.map((b) => b.label) ?? []);
  it.each(["return-24h", "first-check"])("may be of a warning light, while %s waits", (rule) => {
    const play = asked(rule).arrives({
      ...{ kind: "photo", file: { id: "A".repeat(22), kind: "image/jpeg" } },
      from: { person: "p1", via: { channel: "web", to: "p1" } },
    });
    expect(offers(play).slice(-2)).toEqual(["It is a warning light", "Get a person"]);
    expect(play.hirer().join().includes("Please tell me too")).toBe(rule === "first-check");
  });
});

describe("asked when late", () => {
  it("says that the van is back: who is on duty hears it", () => {
    const play = asked("late").says("returned, keys in the box");
    expect(play.hire().arrival).toEqual({ at: play.at, isBack: true });
    expect(duty(play)).toEqual([expect.stringContaining("says that the van is back")]);
  });
  it("in minutes, from when it was written", () => {
    const play = asked("late");
    play.says("in 20 minutes");
    expect(play.hire().arrival).toEqual({ at: play.at + 20 * 60_000 });
  });
});

describe("an hour of the evening", () => {
  // Asked on the day of the return, 12:00, and written at 11:30, before it.
  const onTheDay = () => {
    const play = asked("return-24h");
    return play.pass((Date.parse("2026-06-09T11:30+01:00") - play.at) / 60_000);
  };
  it.each([
    ["ferry is late, back by 8 tonight", "2026-06-09T20:00"],
    ["this evening at 10", "2026-06-09T22:00"],
    ["back by 8", "2026-06-09T20:00"],
    ["today at 9", "2026-06-09T21:00"],
  ])("%s: later than agreed, who is on duty hears it", (words, at) => {
    const play = onTheDay().says(words);
    expect(kept(play)).toBe(at);
    expect(duty(play).join()).toContain(`Said: "${words}"`);
  });
  it("that was only meant is told back", () => {
    const told = (words: string) => onTheDay().says(words).hirer().join("\n");
    expect(told("back by 8")).toContain("I took that for 20:00. Is it another time?");
    expect(told("back by 8")).not.toContain("08:00");
    expect(told("back by 8 tonight")).not.toContain("I took that");
  });
  it("is none where it was said of a time that is only just past", () => {
    const play = onTheDay().says("back at 11");
    expect([kept(play), duty(play)]).toEqual(["2026-06-09T11:00", []]);
  });
});

describe("an arrival on another day", () => {
  it.each([
    ["late", "back tomorrow at 9", "2026-06-10T09:00"],
    ["late", "ferry cancelled, back tomorrow at 9", "2026-06-10T09:00"],
    // Asked at 12:30: nine has passed.
    ["late", "at 9", "2026-06-10T09:00"],
    ["return-24h", "we'll be back Wednesday 10:00", "2026-06-10T10:00"],
  ])("%s: %s: who is on duty hears it, with the words", (rule, words, at) => {
    const play = asked(rule).says(words);
    expect(kept(play)).toBe(at);
    expect(duty(play)).toEqual([expect.stringMatching(/Wed 10 Jun .*later than agreed/)]);
    expect(duty(play).join()).toContain(`Said: "${words}"`);
  });
  it.each([
    ["return-24h", "tomorrow at 10", "2026-06-09T10:00"],
    ["return-24h", "Tuesday 11:30", "2026-06-09T11:30"],
    ["return-24h", "today at 5", "2026-06-08T17:00"],
  ])("%s: %s: is kept, and nobody need be told", (rule, words, at) => {
    const play = asked(rule).says(words);
    expect([kept(play), duty(play)]).toEqual([at, []]);
  });
});

describe("a trouble told while the arrival is asked for", () => {
  it.each([
    ["return-24h", "Engine cut out at 9 this morning", "engine-cut-out"],
    ["return-24h", "Yellow engine light for 2 hours now", "engine-steady"],
    ["late", "engine cut out about 5 miles from you", "engine-cut-out"],
  ])("%s: %s: is asked about as a trouble, and no time is noted", (rule, words, meant) => {
    const play = asked(rule).says(words);
    expect(kept(play)).toBeUndefined();
    expect(play.hirer().join()).toContain("Driving? Stop somewhere safe");
    const [first] = play.hire().talks["p1"]?.offered ?? [];
    expect(first ?? play.callouts().at(-1)?.matter).toBe(meant);
  });
  it.each(["Brakes grind at 20 mph", "It went from 5 to 0 degrees"])(
    "%s: is no time, and nobody hears of one",
    (words) => {
      const play = asked("return-24h").says(words);
      expect([kept(play), duty(play)]).toEqual([undefined, []]);
    },
  );
  it("beside a time alerts staff all the same", () => {
    const words = "back at 4 because the clutch slips";
    const play = asked("late").says(words);
    expect(play.callouts().at(-1)).toMatchObject({ matter: "clutch-slip", words });
    expect(duty(play).join()).toContain(words);
  });
  it("and only likely is asked about once the time is noted", () => {
    const play = asked("late").says("Engine cut out at 9 this morning, at 4");
    expect(kept(play)).toBe("2026-06-09T16:00");
    expect(play.hire().talks["p1"]?.offered?.[0]).toBe("engine-cut-out");
  });
  it("is told from a question with a number in it, which is heard as one", () => {
    const play = asked("return-24h").says("any campsite near you for 2 adults");
    expect(kept(play)).toBeUndefined();
    expect(play.hirer().join()).not.toContain("noted");
    expect(play.hirer()[0]).toMatch(/^I have no approved answer to that\./);
  });
  it("is no trip counter where no odometer is asked for", () => {
    const play = asked("late").says("we are about 5 miles from the bridge");
    expect(play.hirer().join()).not.toContain("trip counter");
  });
});
