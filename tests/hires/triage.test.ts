import { describe, expect, it } from "vitest";
import { after, readIso } from "../../src/calendar.js";
import type { FaultEntry } from "../../src/knowledge/book.js";
import { book, hireWith, type Play } from "../kit/hire.js";

const emergency = "999 or 112";

describe("danger", () => {
  it("puts the emergency number in the first line, before anything else, and alerts everybody at once", () => {
    const play = hireWith("curlew").says("THERES FLAMES COMING OUT THE BONNET");
    const [first = ""] = play.hirer();
    expect(first.split("\n")[0]).toContain(emergency);
    expect(first).toContain("I cannot ring them for you. Ring now. I am alerting our staff.");
    expect(play.sends[0]?.person).toBe("p1");
    expect(new Set(play.duty().map((d) => d.contact))).toEqual(
      new Set(["morag", "callum", "isla"]),
    );
    expect(play.callouts()).toMatchObject([{ severity: "danger", state: "nobody-yet" }]);
  });
  it("uses the numbers of Ireland in their own order there", () => {
    // Road Safety Authority of Ireland: 112 or 999.
    expect(
      hireWith("wren", { region: "ie" }).says("the van is on fire").hirer()[0]?.split("\n")[0],
    ).toContain("112 or 999");
  });
  it.each([
    ["en", "au feu, le camping-car brûle", /^Sortez tous/],
    ["en", "pożar w kamperze", /^Wszyscy natychmiast/],
    ["en", "es riecht nach Gas", /^Alle sofort raus/],
    ["de", "pożar w kamperze", /^Wszyscy natychmiast/],
    ["en", "fire in the van", /^Everyone out/],
    ["de", "Rauch im Wagen, es brennt", /^Alle sofort raus/],
  ])(
    "is told in the language in which it was written, to the others as booked: %s, %s",
    (lang, words, told) => {
      const play = hireWith("curlew", { lang, people: ["Ann", "Ben"] }).says(words);
      const to = (id: string) => play.sends.find((s) => s.person === id)?.message.text ?? "";
      expect(to("p1")).toMatch(told);
      expect(to("p2")).toMatch(lang === "de" ? /^Alle sofort raus/ : /^Everyone out/);
    },
  );
  it("tells everybody on the hire, but never passes a threat to the others", () => {
    const fire = hireWith("curlew", { people: ["Ann", "Ben"] }).says("smoke is filling the van");
    expect(new Set(fire.sends.filter((s) => s.person).map((s) => s.person))).toEqual(
      new Set(["p1", "p2"]),
    );
    const threat = hireWith("curlew", { people: ["Ann", "Ben"] }).says(
      "he is hitting me and says he will kill me",
    );
    expect(threat.callouts()[0]?.matter).toBe("threat");
    expect(new Set(threat.sends.filter((s) => s.person).map((s) => s.person))).toEqual(
      new Set(["p1"]),
    );
    threat.staff("morag", { do: "take", callout: 1 });
    expect(new Set(threat.sends.filter((s) => s.person).map((s) => s.person))).toEqual(
      new Set(["p1"]),
    );
  });
  it("is repeated to all every two minutes until somebody takes it", () => {
    const play = hireWith("curlew").says("my husband collapsed and does not wake up");
    const start = play.at;
    play.nextDue();
    expect((play.at - start) / 60_000).toBe(book.firm.limits.dangerRepeatMin);
    expect(new Set(play.duty().map((d) => d.contact))).toEqual(
      new Set(["morag", "callum", "isla"]),
    );
    play.staff("isla", { do: "take", callout: 1 });
    expect(play.dues().map((d) => d.key)).not.toContain("callout:1:next");
  });
  it("breaks into a guided check", () => {
    const play = hireWith("curlew").says("the tyre pressure light is on");
    play.says("now there is fire under the van");
    expect(play.hirer()[0]?.split("\n")[0]).toContain(emergency);
  });
  it("that arrives late is answered as late, and alerts all the same", () => {
    const play = hireWith("curlew");
    play.says("there is a strong smell of gas in the van", { writtenAt: after(play.at, -120) });
    expect(play.hirer()[0]).toContain("You wrote this at 10:00: is it still so?");
    expect(play.duty().length).toBeGreaterThan(0);
  });
  it("has no button that says it worked", () => {
    const play = hireWith("curlew").says("the van is on fire");
    expect(play.sends.flatMap((s) => s.message.buttons ?? []).map((b) => b.tap)).not.toContain(
      "ok",
    );
  });
});

describe("a red light", () => {
  it("stops the van first, names the firm before roadside assistance, and alerts the duty person", () => {
    const play = hireWith("wren").says("red oil can light came on");
    const [text = ""] = play.hirer();
    expect(text.startsWith("Driving? Stop somewhere safe before you read on.")).toBe(true);
    expect(text.indexOf(book.firm.phone)).toBeGreaterThan(0);
    expect(text.indexOf(book.firm.phone)).toBeLessThan(text.indexOf("Roadside assistance"));
    // 3 June 2026 is a Wednesday: Morag has the day.
    expect(play.duty().map((d) => d.contact)).toEqual(["morag"]);
    expect(text).toContain("I have alerted the duty person.");
    expect(play.sends.flatMap((s) => s.message.buttons ?? []).map((b) => b.tap)).not.toContain(
      "ok",
    );
  });
  it("goes to the next contact when nobody takes it, and the hirer hears who was alerted", () => {
    const play = hireWith("wren").says("red oil can light came on");
    const start = play.at;
    play.nextDue();
    expect((play.at - start) / 60_000).toBe(book.firm.limits.stopMin);
    expect(play.duty().map((d) => d.contact)).toEqual(["isla"]);
    expect(play.hirer().join()).toContain("the owner");
  });
  it("says plainly when nobody can be reached through the service", () => {
    const play = hireWith("wren", { atDesk: [] }).says("red oil can light came on");
    expect(play.duty()).toEqual([]);
    expect(play.hirer()[0]).toContain("I could not reach anybody of ours through this service.");
    expect(play.dues().map((d) => d.key)).toContain("callout:1:next");
  });
  it("opens one call-out for one matter, however often it is written", () => {
    const play = hireWith("wren")
      .says("red oil can light came on")
      .says("RED OIL CAN LIGHT CAME ON");
    expect(play.callouts().length).toBe(1);
  });
  it("asks for a safe place, then for anyone in need; an unsafe place makes it urgent and gives both numbers", () => {
    const play = hireWith("wren").says("red oil can light came on");
    expect(play.hirer().at(-1)).toContain("Is it a safe place to wait?");
    play.taps("Not safe");
    expect(play.hirer().join()).toContain(book.firm.contacts["roadside"]?.phone);
    expect(play.callouts()[0]?.urgent).toBe(true);
    expect(play.hirer().at(-1)).toContain("cold, ill, alone or a child");
  });
});

describe("a guided check", () => {
  it("answered by somebody who cannot tell keeps the van where it stands, and staff read it", () => {
    const play = hireWith("curlew").says("the windscreen is cracked").says("I don't know");
    expect(play.hirer()[0]).toContain("Then stay where you are until we have spoken.");
    expect(play.hirer()[0]).toContain(book.firm.phone);
    expect(play.callouts()).toMatchObject([
      { matter: "cracked-windscreen", checked: "stop", severity: "stop" },
    ]);
    const staff = play.duty().map((d) => d.text);
    expect(staff.join("\n")).toContain("I can't tell (firm, now stop)");
  });
  it("of an electric van that was hit finds the drive battery, of another smoke", () => {
    const hit = "went over a big stone and there was a bang underneath";
    const plover = hireWith("plover").says(hit).taps("Smoke, hissing, or drips from below");
    expect(plover.callouts().map((c) => c.matter)).toContain("hv-damage");
    expect(plover.hirer().join()).toContain("orange cables");
    const wren = hireWith("wren").says(hit).taps("Smoke or hissing");
    expect(wren.callouts().map((c) => c.matter)).toContain("smoke-in-van");
  });
  it("of an electric van that stopped leaves no words unfilled", () => {
    const play = hireWith("plover").says("it cut out at the lights");
    const labels = play.sends.flatMap((s) => s.message.buttons ?? []).map((b) => b.label);
    expect(labels.join()).not.toContain("restarts by itself");
    expect(play.hirer().join()).not.toMatch(/\{[a-z]/);
  });
});

describe("an unclear light", () => {
  const sheetShown = (play: Play) =>
    play.sends.some((s) => s.message.pictures?.includes("lights-sheet"));
  const numberOf = (id: string) => `${book.lightSheet.indexOf(id) + 1}`;

  it("stops the van; its colour is asked first, then the numbered sheet", () => {
    const play = hireWith("curlew").says("some warning light came on, no idea what it is");
    expect(play.callouts()[0]).toMatchObject({ matter: "unknown-light", severity: "stop" });
    expect(play.hirer().at(-1)).toBe("What colour is the light?");
    expect(sheetShown(play)).toBe(false);
    play.says("it's kind of orange");
    expect(sheetShown(play)).toBe(true);
  });
  it("named by its number keeps its call-out, its severity and whoever was alerted", () => {
    const play = hireWith("curlew").says("some warning light came on, no idea what it is");
    play.taps("Red").says(numberOf("oil-pressure"));
    expect(play.hirer()[0]).toContain("oil");
    expect(play.callouts()).toMatchObject([{ matter: "oil-pressure", severity: "stop" }]);
    expect(play.duty()[0]?.text).toContain("it is: Red oil can");
    // Where they stand and who is with them is still asked.
    expect(play.hirer().at(-1)).toBe("Is it a safe place to wait?");
  });
  it("named by any number of the sheet is one call-out", () => {
    for (const [i, id] of book.lightSheet.entries()) {
      const play = hireWith("curlew").says("some warning light came on, no idea what it is");
      play.taps("Red").says(`${i + 1}`);
      expect(play.callouts(), id).toHaveLength(1);
    }
  });
  it("that another of the hire can name is one call-out, and nobody is asked for its colour", () => {
    const play = hireWith("curlew", { people: ["Ann", "Ben"] });
    play.says("some warning light came on, no idea what it is");
    play.says("it is red and looks like an oil can", { person: "p2" });
    expect(play.callouts()).toMatchObject([{ matter: "oil-pressure", severity: "stop" }]);
    expect(play.hirer().at(-1)).toBe("Is it a safe place to wait?");
    expect(play.hire().talks["p1"]?.asking?.steps).toEqual(["place", "need"]);
  });
  it("stays one where another of the hire names a light of another colour, or one that is a notice", () => {
    for (const words of ["the amber coolant light is on", "the seat belt light is on"]) {
      const play = hireWith("curlew", { people: ["Ann", "Ben"] });
      play.says("a red light I don't know has come on").says(words, { person: "p2" });
      expect(play.callouts()[0]?.matter, words).toBe("unknown-light");
    }
  });
  it("whose colour was said is not asked for it again", () => {
    const red = hireWith("curlew").says("a red light I don't know has come on");
    expect(sheetShown(red)).toBe(true);
    const amber = hireWith("curlew").says(
      "some yellow symbol I can't work out, all is running fine",
    );
    expect(amber.callouts()[0]?.severity).toBe("soon");
    expect(sheetShown(amber)).toBe(true);
    const green = hireWith("curlew").says("there is a green light I do not know");
    expect(green.callouts()).toEqual([]);
    expect(sheetShown(green)).toBe(true);
  });
  it("that flashes stops the van whatever number it gets", () => {
    const play = hireWith("curlew").says("a light I do not know is flashing");
    play.says(numberOf("engine-steady"));
    expect(play.hirer()[0]).toContain("Do not drive on");
    expect(play.callouts()).toMatchObject([{ matter: "engine-steady", severity: "stop" }]);
  });
  it.each([
    ["red flash symbol and the van slows", "stop"],
    ["red battery with an exclamation mark", "stop"],
    ["high voltage warning light", "stop"],
    ["yellow battery light came on, it drives as usual", "soon"],
  ])("is also one that this van has not, never a matter of no concern: %s", (words, severity) => {
    const play = hireWith("wren").says(words);
    expect(play.callouts()).toMatchObject([{ matter: "unknown-light", severity }]);
    expect(play.duty().length).toBeGreaterThan(0);
  });
  it("that this van has not is no less one by its number or its button", () => {
    for (const id of ["hv-battery", "low-charge"]) {
      const play = hireWith("curlew").says("a red light I don't know has come on");
      expect(play.says(numberOf(id)).hirer()[0]).toContain("Do not drive on");
      const tapped = hireWith("curlew").taps(`e:${id}`);
      expect(tapped.callouts()).toMatchObject([{ matter: "unknown-light", severity: "stop" }]);
    }
  });
  it("that this van has not and that is only asked about is answered by what the van has", () => {
    const play = hireWith("curlew").says("what would the high voltage light look like");
    expect(play.callouts()).toEqual([]);
    expect(play.hirer()[0]).toContain("runs on diesel");
  });
  it("that is not on the sheet goes on with steady or flashing, one question at a time", () => {
    const play = hireWith("curlew").says("some warning light came on, no idea what it is");
    play.taps("Amber, yellow or orange").taps("None of these");
    expect(play.hirer()).toEqual(["Is it steady, and does the van go, steer and brake as usual?"]);
    play.says("no, it flashes");
    expect(play.callouts()[0]).toMatchObject({ severity: "stop", checked: "stop" });
    expect(play.hirer().at(-1)).toBe("Is it a safe place to wait?");
  });
  it("described in words gets its name; one more light is a matter of its own", () => {
    const play = hireWith("curlew").says("some warning light came on, no idea what it is");
    play.says("it looks like a red oil can");
    expect(play.callouts().map((c) => c.matter)).toEqual(["oil-pressure"]);
    const two = hireWith("curlew").says("some warning light came on, no idea what it is");
    two.says("now the red battery light is on as well");
    expect(two.callouts().map((c) => c.matter)).toEqual(["unknown-light", "charging-system"]);
  });
  it("is found from a photo out of the blue by one tap", () => {
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    const play = hireWith("curlew").arrives({
      kind: "photo",
      from,
      file: { id: "f", kind: "image/jpeg" },
    });
    expect(play.callouts()).toEqual([]);
    play.taps("It is a warning light");
    expect(play.callouts()[0]).toMatchObject({ matter: "unknown-light", severity: "stop" });
    expect(play.hirer().at(-1)).toBe("What colour is the light?");
  });
  it("that a photo follows has its sheet, unless staff asked for it; one with a name has none", () => {
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    const photo = { kind: "photo", from, file: { id: "f", kind: "image/jpeg" } } as const;
    const unclear = () => hireWith("curlew").says("some warning light came on, no idea what it is");
    expect(sheetShown(unclear().arrives(photo))).toBe(true);
    const named = hireWith("curlew").says("red oil can light came on").arrives(photo);
    expect(sheetShown(named)).toBe(false);
    const asked = unclear().staff("morag", { do: "take", callout: 1 });
    asked.staff("morag", { do: "reply", callout: 1, text: "Send me a photo of it." });
    expect(sheetShown(asked.arrives(photo))).toBe(false);
    asked.staff("morag", { do: "reply", callout: 1, text: "How many of you are there?" }).says("1");
    expect(asked.callouts().map((c) => c.matter)).toEqual(["unknown-light"]);
  });
  it("of a kind that cannot be shown is said to be so, also where a reading was awaited", () => {
    const from = { person: "p1", via: { channel: "web", to: "p1" } } as const;
    const photo = { kind: "photo", from, file: { id: "f", kind: "image/heic" } } as const;
    const play = hireWith("curlew").arrives(photo);
    expect(play.hirer()).toEqual([expect.stringContaining("cannot be shown here")]);
    play.taps("It is a warning light");
    expect(play.callouts()[0]).toMatchObject({ matter: "unknown-light" });
    const asked = hireWith("curlew");
    asked.arrives({ kind: "booked", booking: asked.hire().booking });
    const awaits = () => asked.hire().talks["p1"]?.reading?.wants.includes("oil");
    for (let i = 0; i < 20 && !awaits(); i++) asked.nextDue();
    const [only = "", ...more] = asked.arrives(photo).hirer();
    expect(more).toEqual([]);
    expect(only).toMatch(/cannot be shown here.*\nPlease tell me too: the oil mark/);
  });
  it("every light of the contract but the unknown one stands on the sheet, red first", () => {
    const lights = [...book.entries.values()].flatMap((e) =>
      e.kind === "light" && e.id !== "unknown-light" ? [e.id] : [],
    );
    expect([...book.lightSheet].sort()).toEqual(lights.sort());
    const colours = book.lightSheet.map((id) => {
      const e = book.entries.get(id);
      return e?.kind === "light" ? e.colour : "?";
    });
    expect(colours).toEqual([...colours].sort((a, b) => order.indexOf(a) - order.indexOf(b)));
  });
});
// ISO 2575 clause 5: red danger, amber caution; then information.
const order = ["red", "amber", "blue", "green"];

describe("at night", () => {
  const night = "2026-06-03T23:30+01:00";
  it("a soon asks whether it can wait, and then wakes nobody until morning", () => {
    const play = hireWith("curlew", { at: night }).says("amber abs light is on");
    expect(play.duty()).toEqual([]);
    expect(play.hirer().at(-1)).toContain("safe and warm until morning");
    play.taps("Yes, until morning");
    expect(play.dues().find((d) => d.key === "callout:1:next")?.at).toBe(
      readIso("2026-06-04T07:00+01:00"),
    );
  });
  it.each([
    "it can't wait",
    "this is urgent, please ring me now",
    "please ring me",
    "yes but kids are cold",
    "yes we are, insulin though",
    "yes, phone nearly flat though",
  ])("a soon alerts at once where it cannot wait: %s", (words) => {
    const play = hireWith("curlew", { at: night }).says("amber abs light is on").says(words);
    expect(play.duty()[0]?.text).toContain("amber abs light is on");
    expect(play.callouts()).toMatchObject([{ matter: "abs", urgent: true }]);
    expect(play.hirer().join()).not.toContain("07:00");
  });
  it.each(["yes, two small kids here", "yes all good"])("a soon waits: %s", (words) => {
    const play = hireWith("curlew", { at: night }).says("amber abs light is on").says(words);
    expect(play.callouts()[0]?.waitsUntil).toBeDefined();
  });
  it("a wish to be rung about a stop that rings somebody already waits for no morning", () => {
    const play = hireWith("curlew", { at: night }).says("red oil can light came on");
    play.says("please ring me");
    expect(play.callouts()).toHaveLength(1);
    expect(play.duty().map((d) => d.text)).toEqual([expect.stringContaining('"please ring me"')]);
    expect(play.hirer()[0]).toContain("Nobody has taken it yet; I have alerted");
  });
  it("what was not understood in another language is told what the colours mean, first of all", () => {
    const play = hireWith("curlew", { at: night, lang: "de" }).says("wir haben eine Panne");
    expect(play.hirer()[0]).toMatch(/^Zuerst die Farbe\. Rot, /);
    expect(play.taps("It cannot wait").duty()).not.toEqual([]);
  });
  it("but not a number that staff asked for", () => {
    const play = hireWith("curlew", { lang: "de" });
    play.staff("morag", { do: "reply", person: "p1", text: "How many of you?" }).says("4");
    expect(play.hirer()[0]).toMatch(/^I have no approved answer/);
  });
  it("silence does not hold a soon back: after ten minutes staff are alerted", () => {
    const play = hireWith("curlew", { at: night }).says("amber abs light is on");
    const start = play.at;
    play.nextDue();
    expect((play.at - start) / 60_000).toBe(10);
    expect(play.duty().length).toBe(1);
  });
  it("a stop alerts at once", () => {
    expect(hireWith("curlew", { at: night }).says("red oil can light came on").duty().length).toBe(
      1,
    );
  });
});

describe("staff", () => {
  it("are named once they took it, and the hirer hears a promise with its time", () => {
    const play = hireWith("wren")
      .says("red oil can light came on")
      .staff("morag", { do: "take", callout: 1 });
    expect(play.hirer()).toEqual(["Morag has read this and has it now."]);
    play.staff("morag", { do: "promise", callout: 1, at: after(play.at, 30) });
    expect(play.hirer()).toEqual(["Morag has read this and rings you by 12:30."]);
  });
  it("who promised and did not ring are reminded, then another is alerted and the hirer told", () => {
    const play = hireWith("wren")
      .says("red oil can light came on")
      .staff("morag", { do: "promise", callout: 1, at: readIso("2026-06-03T12:10+01:00") });
    play.nextDue();
    expect(play.duty()).toMatchObject([{ contact: "morag" }]);
    expect(play.hirer()).toEqual([]);
    play.nextDue();
    expect(play.duty()).toMatchObject([{ contact: "morag" }]);
    expect(play.hirer()[0]).toContain("Morag meant to ring you by 12:10.");
    play.nextDue();
    expect(play.duty()).toMatchObject([{ contact: "isla" }]);
    expect(play.hirer()[0]).toContain("Morag meant to ring you and has noted no call.");
    expect(play.callouts()[0]).toMatchObject({ state: "with", with: "morag", promiseBroken: 1 });
  });
  it("hear when a hirer with an open stop stays silent, then that the police can check", () => {
    const play = hireWith("wren")
      .says("red oil can light came on")
      .staff("morag", { do: "take", callout: 1 })
      .staff("morag", { do: "reply", callout: 1, text: "I look into it" });
    play.nextDue();
    expect(play.hirer()[0]).toContain("Are you all right?");
    expect(play.hirer()[0]).toContain("I have asked Morag to ring you.");
    expect(play.duty()).toMatchObject([{ contact: "morag" }]);
    for (let i = 0; i < 3 && !play.duty()[0]?.text.includes("STILL"); i++) play.nextDue();
    expect(new Set(play.duty().map((d) => d.contact))).toEqual(
      new Set(["morag", "callum", "isla"]),
    );
    expect(play.duty()[0]?.text).toContain("welfare check (101; 999 or 112");
    play.says("all fine here");
    expect(play.callouts()[0]?.silent).toBe(0);
  });
  it("alone end a matter: a hirer's thanks does not", () => {
    const play = hireWith("wren").says("red oil can light came on").says("thanks");
    expect(play.callouts()[0]?.state).toBe("nobody-yet");
    play.staff("callum", { do: "done", callout: 1, outcome: "by-advice" });
    expect(play.callouts()[0]).toMatchObject({ state: "done", outcome: "by-advice" });
    expect(play.hirer()[0]).toContain("solved by advice");
    expect(play.dues().filter((d) => d.key.startsWith("callout:"))).toEqual([]);
  });
  it("read what the hirer writes while they have the matter", () => {
    const play = hireWith("wren")
      .says("red oil can light came on")
      .staff("morag", { do: "take", callout: 1 })
      .says("we are in the layby past the red barn");
    expect(play.duty()).toMatchObject([
      { contact: "morag", text: expect.stringContaining("layby past the red barn") },
    ]);
    // Where people in danger are overtakes all else.
    expect(play.sends.find((s) => s.contact)?.safety).toBe(true);
    const asked = hireWith("wren")
      .says("I want to talk to a person")
      .staff("morag", { do: "take", callout: 1 })
      .says("my sister will be there at four");
    expect(asked.sends.find((s) => s.contact)?.safety).toBe(false);
  });
});

describe("a fault that is a danger until it is placed", () => {
  const beeps = "something is beeping and I don't know what";
  it("is told as the danger that its entry names", () => {
    const beep = book.entries.get("unknown-beep");
    const known = (as: string) => ({
      ...book,
      entries: new Map(book.entries).set("unknown-beep", {
        ...(beep as FaultEntry),
        dangerUntilChecked: as,
      }),
    });
    const heard = (as: string) =>
      hireWith("curlew", { known: known(as) })
        .says(beeps)
        .callouts();
    expect(hireWith("curlew").says(beeps).callouts()).toMatchObject([
      { kind: "danger", matter: "carbon-monoxide" },
    ]);
    expect(heard("gas-leak")).toMatchObject([{ kind: "danger", matter: "gas-leak" }]);
  });
});

describe("any input", () => {
  it.each([
    "",
    "   ",
    "\u0000",
    "🙂",
    "x".repeat(10_000),
    `fridge${" ".repeat(4000)}cold`,
    "<script>alert(1)</script>",
    "{van.height}",
    "🏴󠁧󠁢󠁳󠁣󠁴󠁿 ".repeat(50),
  ])("never throws and never loses the state: %j", (text) => {
    const play = hireWith("plover").says(text);
    expect(play.last.state?.kind).toBe("hire");
  });
  it("a stale button is told so, a double tap changes nothing", () => {
    const play = hireWith("curlew").says("the tyre pressure light is on");
    const check =
      play.sends.flatMap((s) => s.message.buttons ?? []).find((b) => b.tap.startsWith("c:"))?.tap ??
      "none";
    expect(check).not.toBe("none");
    play.taps(check);
    play.taps(check);
    expect(play.last.because.join()).toMatch(/double tap|closed/);
    expect(play.taps("c:oil-level:0").hirer().join()).toContain("closed");
  });
});
