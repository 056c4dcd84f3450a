/** The firm's lane: test alerts, standing in, going off. 3 June 2026 is a Wednesday: Morag by day, Callum by night. */
import { describe, expect, it } from "vitest";
import { readIso } from "../../src/calendar.js";
import { Exception } from "../../src/knowledge/firm/roster.js";
import { wasRefused } from "../../src/roster/duty/refusal.js";
import { demoFirm, firmAt, matter } from "../kit/firm.js";

const wednesday = (clock: string) => `2026-06-03T${clock}+01:00`;

describe("the start of a shift", () => {
  it("sends a test alert on every channel that its person has, and none before", () => {
    const play = firmAt(wednesday("19:00"), { atDesk: ["callum"], telegram: { callum: "77" } });
    expect(play.sends).toEqual([]);
    const sent = play.until(wednesday("20:00"));
    expect(sent.map((s) => s.to)).toEqual([
      { channel: "desk", to: "callum" },
      { channel: "telegram", to: "77" },
    ]);
    expect(sent[0]?.message.buttons).toEqual([{ tap: "here:callum:1", label: "I am here" }]);
    expect(sent[0]?.safety).toBe(true);
  });
  it("tests nobody whose shift had begun when the service started for the first time", () => {
    const play = firmAt(wednesday("12:00"));
    expect(play.until(wednesday("19:59"))).toEqual([]);
    expect(play.tests()).toEqual([]);
  });
  it("is not tested twice by a restart, and is caught up with after a long one", () => {
    const play = firmAt(wednesday("19:00"));
    play.until(wednesday("20:05"));
    expect(play.arrives({ kind: "opened" }).sends).toEqual([]);
    // The service stands still over the next shift start: its due is overdue, and comes late.
    play.now = (play.now + 13 * 3_600_000) as typeof play.now;
    play.arrives({ kind: "opened" });
    expect(play.told()).toEqual([{ to: "morag", text: expect.stringContaining("08:00 to 20:00") }]);
    expect(play.tests().map((t) => t.contact)).toEqual(["morag"]);
    expect(play.state.tests.find((t) => t.contact === "callum")?.state).toBe("over");
  });
  it("answered, says until when they are on and what is open, the worst first", () => {
    const play = firmAt(wednesday("19:00"));
    play.until(wednesday("20:01"));
    play.open = [
      matter(1, { severity: "note", title: "A question", with: "morag" }),
      matter(2, { severity: "danger", title: "Smoke" }),
    ];
    play.act("callum", { do: "here", test: 1 });
    expect(play.told()).toEqual([
      {
        to: "callum",
        text: "Thank you. You are on until Thu 4 Jun 08:00.\nDANGER: Smoke (SX26 ABC), nobody yet\nNOTE: A question (SX26 ABC), with Morag",
      },
    ]);
    expect(play.tests()).toEqual([]);
    expect([...play.dues.keys()]).toEqual(["duty:look"]);
  });
  it("unanswered, is told to whoever was on before and to the owner, with the number to ring, until somebody answers", () => {
    const play = firmAt(wednesday("19:00"));
    play.until(wednesday("20:00"));
    const told = play.until(wednesday("20:10")).map((s) => `${s.contact}: ${s.message.text}`);
    expect(told).toHaveLength(3);
    expect(told[0]).toMatch(/^callum: TEST ALERT, AGAIN/);
    expect(told[1]).toMatch(/^morag: Callum has not answered .* Ring Callum: 07700 900102/);
    expect(told[2]).toMatch(/^isla: Callum has not answered/);
    // Again after 30, then 60 minutes more: growing pauses, all night.
    expect(play.until(wednesday("20:39"))).toEqual([]);
    expect(play.until(wednesday("20:40"))).toHaveLength(3);
    expect(play.until(wednesday("21:39"))).toEqual([]);
    expect(play.until(wednesday("21:40"))).toHaveLength(3);
    play.act("callum", { do: "here", test: 1 });
    expect(play.told().map((t) => t.to)).toEqual(["morag", "isla", "callum"]);
    expect(play.until("2026-06-04T07:59+01:00")).toEqual([]);
  });
  it("that no channel carries is told to the others at once", () => {
    const play = firmAt(wednesday("19:00"), { atDesk: ["isla"], telegram: { callum: "77" } });
    play.until(wednesday("20:00"));
    play.arrives({ kind: "undelivered", send: "x", to: { channel: "telegram", to: "77" } });
    expect(play.told().map((t) => t.to)).toContain("isla");
    expect(play.told().at(-1)?.text).toContain("No channel of ours reaches them now");
  });
  it("unanswered, and settled by the roster's form, is told as over to who was told of it", () => {
    const play = firmAt(wednesday("19:00"));
    play.until(wednesday("20:10"));
    const away = Exception.parse({
      ...{ kind: "away", contact: "callum", why: "sick", instead: "morag" },
      ...{ from: "2026-06-03T20:11", to: "2026-06-04T08:00" },
    });
    play.now = readIso(wednesday("20:11"));
    const roster = { ...demoFirm.roster, exceptions: [away] };
    play.act("morag", { do: "roster", base: play.state.version, roster, says: "x" });
    expect(play.told()).toContainEqual({
      to: "isla",
      text: "Callum is off duty now, and alerts come to Morag: the test alert needs nothing more.",
    });
  });
  it("is over when the shift is: the next one is tested, and the old answer is told that it is over", () => {
    const play = firmAt(wednesday("19:00"));
    play.until("2026-06-04T08:00+01:00");
    expect(play.tests().map((t) => t.contact)).toEqual(["morag"]);
    play.act("callum", { do: "here", test: 1 });
    expect(play.told()).toEqual([
      { to: "callum", text: "That test alert is over: nothing needs an answer." },
    ]);
  });
  it("is not answered for somebody else by mistake", () => {
    const play = firmAt(wednesday("19:00"));
    play.until(wednesday("20:00"));
    play.act("isla", { do: "here", test: 1 });
    expect(play.tests()).toHaveLength(1);
    expect(play.told()[0]?.text).toContain("for Callum");
  });
  it("offers a minute later what was taken in the very instant of the change", () => {
    const play = firmAt(wednesday("19:00"));
    play.until(wednesday("20:00"));
    expect(play.posts).toEqual([]);
    // Its own lane took it while the firm's lane looked: two processes on PostgreSQL.
    play.open = [matter(4, { severity: "stop", title: "Red oil can", with: "morag" })];
    play.until(wednesday("20:01"));
    expect(play.posts.map((p) => p.body)).toMatchObject([
      { matter: { kind: "hand-over", callout: 4, from: "morag" } },
    ]);
    play.until(wednesday("20:09"));
    expect(play.dues.get("duty:look")?.at).toBe(readIso("2026-06-04T08:00+01:00"));
  });
  it("each day anew of one person who is always on", () => {
    const always = {
      contact: "isla",
      days: [...(demoFirm.roster.weekly[0]?.days ?? []), "fri", "sat", "sun"],
      from: "08:00",
      to: "08:00",
    } as const;
    const play = firmAt(wednesday("07:00"), {
      roster: { weekly: [{ ...always, days: [...always.days] as never }] },
    });
    const sent = play
      .until("2026-06-05T08:00+01:00")
      .filter((s) => s.message.text.startsWith("TEST ALERT. Your shift"));
    expect(sent).toHaveLength(3);
  });
});

describe("a gap of the roster", () => {
  const weekly = demoFirm.roster.weekly.filter((s) => s.from !== "20:00");
  it("makes the fallback the one who is alerted, and tests them too", () => {
    const play = firmAt(wednesday("19:00"), { roster: { weekly } });
    const sent = play.until(wednesday("20:00"));
    expect(sent.map((s) => s.contact)).toEqual(["isla"]);
    expect(sent[0]?.message.text).toContain(
      "Nobody is on the roster: alerts come to you until Thu 4 Jun 08:00.",
    );
  });
  it("is filled by whoever stands in, until the next shift", () => {
    const play = firmAt(wednesday("19:00"), { roster: { weekly } });
    play.until(wednesday("20:30"));
    play.act("callum", { do: "stand-in", test: 1 });
    expect(play.on()).toEqual(["callum"]);
    play.until("2026-06-04T08:00+01:00");
    expect(play.on()).toEqual(["morag"]);
  });
});

describe("a change of the roster", () => {
  it("takes whoever is sick off at once; who stands in is tested, and matters are handed over", () => {
    const play = firmAt(wednesday("12:00"));
    play.open = [matter(3, { with: "morag" }), matter(4, { with: "isla" })];
    const sick = Exception.parse({
      kind: "away",
      contact: "morag",
      from: "2026-06-03T12:00",
      to: "2026-06-03T20:00",
      why: "sick",
      instead: "callum",
    });
    const roster = { ...play.firm().roster, exceptions: [sick] };
    play.act("isla", { do: "roster", base: 0, roster, says: "adds: Morag away" });
    expect(play.on()).toEqual(["callum"]);
    expect(play.tests().map((t) => t.contact)).toEqual(["callum"]);
    expect(play.posts.map((p) => [p.lane, p.body])).toEqual([
      [
        "hire:h1",
        expect.objectContaining({ matter: { kind: "hand-over", callout: 3, from: "morag" } }),
      ],
    ]);
    expect(play.state).toMatchObject({ version: 1, changedBy: "isla" });
    expect(wasRefused(play.because)).toBe(false);
  });
  it("made on an older version changes nothing", () => {
    const play = firmAt(wednesday("12:00"));
    const roster = { ...play.firm().roster, weekly: [] };
    play.act("isla", { do: "roster", base: 7, roster, says: "loses all" });
    expect(wasRefused(play.because)).toBe(true);
    expect(play.state.version).toBe(0);
    expect(play.on()).toEqual(["morag"]);
  });
});

describe("going off early", () => {
  it("keeps its person on until the next has answered; then the call order follows at once", () => {
    const play = firmAt(wednesday("12:00"));
    play.open = [matter(1, { with: "morag" })];
    play.act("morag", { do: "off" });
    expect(play.on()).toEqual(["morag"]);
    expect(play.posts[0]?.body).toMatchObject({ matter: { from: "morag", to: "callum" } });
    play.act("callum", { do: "here", test: 1 });
    expect(play.on()).toEqual(["callum"]);
    play.until(wednesday("20:00"));
    expect(play.on()).toEqual(["callum"]);
  });
  it("unanswered, is told to whoever wanted to go, who stays on", () => {
    const play = firmAt(wednesday("12:00"));
    play.act("morag", { do: "off" });
    const told = play.until(wednesday("12:10"));
    expect(told.map((s) => s.contact)).toEqual(["callum", "morag", "isla"]);
    expect(told[1]?.message.text).toContain(
      "Callum, whom you asked at 12:00 to take over, has not answered. You stay on.",
    );
    // Callum is not on duty, and Morag is: nobody need get up.
    expect(told[2]?.message.text).toBe(
      "Morag wants to go off duty and asked Callum at 12:00 to take over, who has not answered. Morag stays on. It went by desk. Ring Callum: 07700 900102.",
    );
    expect(told.map((s) => s.message.buttons?.[0]?.label)).toEqual([
      "I take over",
      "I stay on",
      "I take over from Morag",
    ]);
    expect(play.on()).toEqual(["morag"]);
  });
  it("stays who answers their own question in place of the one who was asked", () => {
    const play = firmAt(wednesday("12:00"));
    play.act("morag", { do: "off" });
    play.act("morag", { do: "stand-in", test: 1 });
    expect(play.on()).toEqual(["morag"]);
    expect(play.tests()).toEqual([]);
    expect(play.told()).toEqual([
      { to: "callum", text: "Morag stays on. You need not take over." },
      { to: "morag", text: "You stay on." },
    ]);
  });
  it("beside others takes effect at once, and hands over what is theirs", () => {
    const beside = Exception.parse({
      kind: "shift",
      contact: "isla",
      on: "2026-06-03",
      from: "08:00",
      to: "20:00",
      beside: true,
    });
    const play = firmAt(wednesday("12:00"), { roster: { exceptions: [beside] } });
    play.open = [matter(1, { with: "morag" })];
    play.act("morag", { do: "off" });
    expect(play.on()).toEqual(["isla"]);
    expect(play.posts).toHaveLength(1);
    expect(play.told().at(-1)?.text).toBe(
      "You are off duty. 1 open: each stays with you until it is taken.",
    );
  });
  const callumBeside = (to = "20:00") => ({
    roster: {
      exceptions: [
        Exception.parse({
          ...{ kind: "shift", contact: "callum", on: "2026-06-03", from: "18:00", to },
          beside: true,
        }),
      ],
    },
  });
  it("waits beside somebody who has not answered their test alert, until they do", () => {
    const play = firmAt(wednesday("17:00"), callumBeside());
    play.until(wednesday("18:10"));
    play.act("morag", { do: "off" });
    expect(play.on()).toEqual(["morag", "callum"]);
    expect(play.told()[0]).toEqual({
      to: "callum",
      text: expect.stringContaining(
        "TEST ALERT, AGAIN. Your shift has begun: 18:00 to 20:00. Morag wants to go off duty, and stays on until you answer.",
      ),
    });
    play.act("callum", { do: "here", test: 1 });
    expect(play.on()).toEqual(["callum"]);
    expect(play.told()).toContainEqual({
      to: "morag",
      text: "Callum is on. You are off duty.",
    });
  });
  it("waits for whoever stands in for them, and is off the question when that is who asked", () => {
    const play = firmAt(wednesday("17:00"), callumBeside());
    play.until(wednesday("18:10"));
    play.act("morag", { do: "off" });
    play.act("isla", { do: "stand-in", test: 1 });
    expect(play.on()).toEqual(["isla"]);
    const own = firmAt(wednesday("17:00"), callumBeside());
    own.until(wednesday("18:10"));
    own.act("morag", { do: "off" });
    own.act("morag", { do: "stand-in", test: 1 });
    expect(own.on()).toEqual(["morag"]);
    expect(own.state.leaving).toBeUndefined();
  });
  it("is asked of somebody whose own shift begins meanwhile by that shift's test alert", () => {
    const play = firmAt(wednesday("17:55"), callumBeside());
    play.act("morag", { do: "off" });
    play.until(wednesday("18:00"));
    expect(play.tests().map((t) => [t.n, t.why])).toEqual([[2, "shift"]]);
    play.act("callum", { do: "here", test: 2 });
    expect(play.on()).toEqual(["callum"]);
    expect(play.state.leaving).toBeUndefined();
  });
  it("is still asked of somebody whose own shift ends meanwhile", () => {
    const play = firmAt(wednesday("17:55"), callumBeside("19:00"));
    play.until(wednesday("18:00"));
    play.act("callum", { do: "here", test: 1 });
    play.act("morag", { do: "off", to: "callum" });
    play.until(wednesday("19:00"));
    play.act("callum", { do: "here", test: 2 });
    expect(play.on()).toEqual(["callum"]);
  });
  it("that nobody can answer any more is over, and who asked hears so", () => {
    const play = firmAt(wednesday("17:55"), callumBeside("19:00"));
    play.until(wednesday("18:00"));
    play.act("morag", { do: "off" });
    const told = play.until(wednesday("19:00"));
    expect(told.at(-1)?.message.text).toBe(
      "Callum does not take over now. You stay on: ask anew if you want to go off.",
    );
    expect(play.state.leaving).toBeUndefined();
    expect(play.on()).toEqual(["morag"]);
  });
  it("may name who takes over, but nobody who could not", () => {
    const play = firmAt(wednesday("12:00"));
    for (const to of ["morag", "roadside", "nobody"]) {
      play.act("morag", { do: "off", to });
      expect(play.because[0]).toMatch(/^ignored/);
    }
    play.act("morag", { do: "off", to: "isla" });
    expect(play.state.leaving).toMatchObject({ contact: "morag", to: "isla" });
    play.act("callum", { do: "stand-in", test: play.tests()[0]?.n ?? 0 });
    expect(play.on()).toEqual(["callum"]);
    expect(play.state.leaving).toBeUndefined();
  });
  it("may be taken back", () => {
    const play = firmAt(wednesday("12:00"));
    play.act("morag", { do: "off" });
    play.act("morag", { do: "stay" });
    expect(play.tests()).toEqual([]);
    expect(play.told().map((t) => t.text)).toContain("Morag stays on. You need not take over.");
    expect(play.on()).toEqual(["morag"]);
  });
  it("asks one person at a time: whoever was asked before need not take over, and is told so", () => {
    const play = firmAt(wednesday("12:00"), { atDesk: ["callum", "isla"] });
    play.act("morag", { do: "off", to: "callum" });
    play.act("morag", { do: "off", to: "isla" });
    expect(play.tests().map((t) => t.contact)).toEqual(["isla"]);
    expect(play.told().map((t) => t.text)).toContain(
      "Isla is asked instead. You need not take over.",
    );
    const later = play
      .until(wednesday("13:00"))
      .filter((s) => /Callum has not/.test(s.message.text));
    expect(later).toEqual([]);
  });
  it("lets whoever did not answer take over again later the same night", () => {
    const play = firmAt(wednesday("19:00"));
    play.until(wednesday("20:15"));
    play.act("isla", { do: "stand-in", test: 1 });
    expect(play.on()).toEqual(["isla"]);
    play.act("isla", { do: "off", to: "callum" });
    play.act("callum", { do: "here", test: play.tests()[0]?.n ?? 0 });
    expect(play.on()).toEqual(["callum"]);
  });
});

describe("a night in which the clocks change", () => {
  // Directive 2000/84/EC: 25 October 2026 back at 02:00 summer time; 29 March 2026 forward at 01:00.
  it.each([
    ["back", "2026-10-24T19:00+01:00", "2026-10-24T19:00Z", "2026-10-25T08:00Z", 13],
    ["forward", "2026-03-28T19:00Z", "2026-03-28T20:00Z", "2026-03-29T08:00+01:00", 11],
  ] as const)("%s: the night shift ends at 08:00 on the wall", (_, before, start, end, hours) => {
    const play = firmAt(before);
    play.until(start);
    expect(play.tests().map((t) => t.contact)).toEqual(["morag"]);
    const [test] = play.tests();
    expect(((test?.until ?? 0) - (test?.startedAt ?? 0)) / 3_600_000).toBe(hours);
    play.act("morag", { do: "here", test: 1 });
    play.now = (Date.parse(end) - 1) as typeof play.now;
    expect(play.on()).toEqual(["morag"]);
    play.until(end);
    expect(play.on()).toEqual(["callum"]);
    expect(play.tests().map((t) => t.contact)).toEqual(["callum"]);
  });
});
