/** A threat, and a question, are of whoever wrote of them: nobody else of the hire hears of them, whatever happens. */
import { describe, expect, it } from "vitest";
import { after as minutesFrom } from "../../src/calendar.js";
import { copyOf } from "../../src/desk/privacy/copy.js";
import { book, hireWith, type Play } from "../kit/hire.js";

const knife = "she is threatening me with a knife";
const number = "07700 900501";
/** Ann, who booked, and Ben with a number of his own. */
function two(options: Parameters<typeof hireWith>[1] = {}): Play {
  const play = hireWith("curlew", { people: ["Ann", "Ben"], ...options });
  const { booking } = play.hire();
  const [ann, ben] = booking.people;
  if (!ann || !ben) throw new Error("two people are on it");
  return play.arrives({
    kind: "booked",
    booking: { ...booking, people: [ann, { ...ben, phone: number }] },
  });
}
const ben = { person: "p2" };
const takeBenOff = (play: Play) =>
  play.arrives({ kind: "changed", by: "program", change: { people: [{ name: "Ann" }] } });
const told = (play: Play, person: string) =>
  play.sends.filter((s) => s.person === person).map((s) => s.message.text);
const staffRead = (play: Play) =>
  play
    .duty()
    .map((d) => d.text)
    .join("\n");
/** Lets dues come until staff read this; false when they never do. */
const comes = (play: Play, words: string): boolean => {
  for (let i = 0; i < 12 && !staffRead(play).includes(words); i++) play.nextDue();
  return staffRead(play).includes(words);
};
const dataOf = (play: Play, id: string) => {
  const hire = play.hire();
  const person = hire.people.find((p) => p.id === id);
  if (!person) throw new Error(`${id} is not on it`);
  return JSON.stringify(copyOf(hire, person, [], book.keeping, play.at).data);
};

describe("a threat from somebody inside the van", () => {
  it("locks nobody in with them: away first, out to other people", () => {
    const [text = ""] = hireWith("curlew").says("my boyfriend is hitting me").hirer();
    expect(text).toMatch(/^Get away from them, or lock them out, and ring 999 or 112 now/);
    expect(text).toMatch(/1\. Is it somebody in the van with you\? Get out to other people/);
  });
});

describe("a threat whose writer was taken off the hire", () => {
  const gone = () => takeBenOff(two().says(knife, ben).staff("callum", { do: "take", callout: 1 }));

  it("is spoken of with nobody of the hire at any step, also beside another matter", () => {
    const play = gone();
    play.says("red oil can light came on");
    const steps: (() => unknown)[] = [
      () => play.staff("callum", { do: "phone", callout: 1 }),
      () => play.staff("callum", { do: "promise", callout: 1, at: minutesFrom(play.at, 20) }),
      () => play.staff("callum", { do: "roadside", callout: 1, reference: "R-1" }),
      () => play.staff("callum", { do: "reply", callout: 1, text: "Are you safe?" }),
      () => play.staff("callum", { do: "reply", callout: 1, person: "all", text: "Are you safe?" }),
      () => play.staff("callum", { do: "done", callout: 1, outcome: "other" }),
    ];
    for (const make of steps) {
      make();
      expect(play.sends.filter((s) => s.person && s.callout !== 2)).toEqual([]);
    }
  });
  it("is told to staff, with the number that was last known", () => {
    const play = gone();
    expect(play.duty().map((d) => d.contact)).toContain("callum");
    expect(staffRead(play)).toContain("Ben was taken off the hire");
    expect(staffRead(play)).toContain(`Their number: ${number}.`);
    play.staff("callum", { do: "reply", callout: 1, text: "Are you safe?" });
    expect(staffRead(play)).toContain(
      `Not sent. It was for Ben, who is not on the hire any more. Ring ${number}.`,
    );
  });
  it("sends its owner to ring that person, when promised and when nothing was heard", () => {
    const play = gone();
    play.staff("callum", { do: "promise", callout: 1, at: minutesFrom(play.at, 20) });
    expect(comes(play, `you ring Ben, who is not on the hire any more, ${number}`)).toBe(true);
    expect(comes(play, "Nothing heard from Ben")).toBe(true);
    expect(staffRead(play)).toContain(`You ring them now: ${number}.`);
    expect(play.hirer()).toEqual([]);
    expect(staffRead(play)).not.toContain("Ann");
  });
  it("names that person in the alerts that still come", () => {
    const play = takeBenOff(two().says(knife, ben));
    expect(comes(play, `Ben, who is not on the hire any more, ${number}`)).toBe(true);
  });
  it("keeps no number once it is done", () => {
    const play = gone().staff("callum", { do: "done", callout: 1, outcome: "other" });
    expect(JSON.stringify(play.callouts())).not.toContain(number);
  });
  it("that was on its way meanwhile is answered where it was written, to nobody else", () => {
    const play = takeBenOff(two());
    play.says(knife, ben);
    expect(told(play, "p1")).toEqual([]);
    expect(play.sends.find((s) => s.person === "p2")).toMatchObject({
      to: { channel: "web", to: "p2" },
      message: { text: expect.stringContaining("999 or 112") },
    });
    expect(play.callouts()).toMatchObject([{ matter: "threat", person: "p2" }]);
    expect(play.duty().length).toBeGreaterThan(0);
  });
});

describe("who comes on a hire after somebody was taken off it", () => {
  const puts = (play: Play, ...names: string[]) =>
    play.arrives({
      kind: "changed",
      by: "program",
      change: { people: names.map((name) => ({ name })) },
    });
  const ids = (play: Play) => play.hire().people.map((p) => `${p.id} ${p.name}`);

  it("is nobody who was on it before: they hear nothing of a threat, and answer no question of it", () => {
    const play = puts(takeBenOff(two().says(knife, ben)), "Ann", "Cara");
    expect(ids(play)).toEqual(["p1 Ann", "p3 Cara"]);
    play.staff("callum", { do: "take", callout: 1 });
    expect(play.hirer()).toEqual([]);
    play.staff("callum", { do: "reply", callout: 1, text: "Are you safe?" });
    expect(play.hirer()).toEqual([]);
    expect(play.hire().talks).not.toHaveProperty("p3");
  });
  it("has an id of their own, though who left never wrote, and however often it happens", () => {
    const play = puts(takeBenOff(two()).restart(), "Ann", "Cara");
    expect(ids(play)).toEqual(["p1 Ann", "p3 Cara"]);
    puts(puts(play, "Ann"), "Ann", "Dan");
    expect(ids(play)).toEqual(["p1 Ann", "p4 Dan"]);
  });
  it("has one, too, on a hire that lost somebody before this was kept of it", () => {
    const play = takeBenOff(two().says(knife, ben)).restart();
    delete play.hire().peopleGiven;
    expect(ids(puts(play, "Ann", "Cara"))).toEqual(["p1 Ann", "p3 Cara"]);
  });
});

describe("a question of one person", () => {
  it("is no matter of the other's: each has their own, and hears of it", () => {
    const play = two().says("I want to talk to a person");
    play.says("I want to talk to a person", ben);
    expect(play.callouts().map((c) => [c.kind, c.person])).toEqual([
      ["person", "p1"],
      ["person", "p2"],
    ]);
    play.staff("morag", { do: "take", callout: 2 });
    expect(told(play, "p2")).toEqual(["Morag has read this and has it now."]);
    expect(told(play, "p1")).toEqual([]);
    play.staff("morag", { do: "reply", callout: 2, text: "What is it about?" });
    expect(told(play, "p2")).toEqual(["Morag: What is it about?"]);
  });
  it("that somebody has already is not the owner's word to the other", () => {
    const play = two()
      .says("I want to talk to a person")
      .staff("morag", { do: "take", callout: 1 });
    play.says("I want to talk to a person", ben);
    expect(play.callouts().map((c) => c.person)).toEqual(["p1", "p2"]);
    expect(told(play, "p2").join()).not.toContain("Morag");
  });
  it("that staff joined to another's is both's from then on", () => {
    const play = two().says("I want to talk to a person");
    play.says("I want to talk to a person", ben);
    play.staff("morag", { do: "done", callout: 2, outcome: "joined", to: 1 });
    play.says("can I talk to somebody please", ben);
    expect(play.callouts()).toHaveLength(2);
    play.staff("morag", { do: "take", callout: 1 });
    expect(told(play, "p2")).toEqual(told(play, "p1"));
    expect(told(play, "p2")).toHaveLength(1);
  });
  it("of somebody threatened tells the other nothing of it", () => {
    const play = two().says("I want to talk to a person").says(knife, ben);
    play.staff("callum", { do: "done", callout: 2, outcome: "other" });
    play.taps("person", "p2");
    const [first] = play.callouts();
    expect(first?.words).toBe("I want to talk to a person");
    expect(dataOf(play, "p1")).not.toMatch(/threat/i);
  });
});

describe("what one person told on the telephone", () => {
  it("is spoken of with them alone", () => {
    const play = two().says("red oil can light came on");
    play.staff("morag", {
      ...{
        do: "call",
        who: "Ben",
        person: "p2",
        about: "Ann threatens him",
        outcome: "put to staff",
      },
      opens: { severity: "danger", mine: false },
    });
    play.staff("callum", { do: "take", callout: 2 });
    expect(told(play, "p1")).toEqual([]);
    expect(told(play, "p2").join()).toContain("Callum has read this");
    play.staff("callum", { do: "take", callout: 1 });
    expect(told(play, "p1").join()).not.toContain("threatens");
  });
  it("is in the alert to staff, and in no title", () => {
    const play = two().staff("morag", {
      ...{ do: "call", who: "Ben", person: "p2", about: "pregnant, brakes squeal since Oban" },
      ...{ outcome: "put to staff", opens: { severity: "soon", mine: false } },
    });
    expect(staffRead(play)).toContain("SOON: What was told by telephone");
    expect(staffRead(play)).toContain('Said: "pregnant, brakes squeal since Oban"');
    expect(play.callouts()).toMatchObject([{ title: "What was told by telephone" }]);
    play.says("red oil can light came on", ben).staff("callum", { do: "take", callout: 1 });
    expect(told(play, "p2").join()).toContain('About "What was told by telephone": Callum has');
  });
});

describe("a button of a matter of one person", () => {
  it("does nothing in the hand of another", () => {
    const play = two().says(knife, ben).staff("callum", { do: "take", callout: 1 });
    play.staff("callum", { do: "roadside", callout: 1, reference: "R-1" });
    for (const tap of ["rs:yes:1", "place:unsafe:1", "need:alone:1", "urgent:1", "sheet:none:1"])
      expect(play.taps(tap).sends).toEqual([]);
  });
});

describe("a matter of everybody", () => {
  it("passes on what the other says as the other's: a reply goes to them", () => {
    const play = two().says("red oil can light came on").staff("morag", { do: "take", callout: 1 });
    play.says("red oil can light came on", ben);
    expect(play.sends.filter((s) => s.contact === "morag")).toMatchObject([{ about: "p2" }]);
  });
  it("keeps no words of a threat, told or feared, also under a photo", () => {
    const play = two().says("red oil can light came on");
    const from = { person: "p2", via: { channel: "web", to: "p2" } } as const;
    play.says(knife, ben);
    expect(play.callouts().map((c) => c.matter)).toEqual(["oil-pressure", "threat"]);
    const photo = two().says("red oil can light came on");
    photo.arrives({ kind: "photo", from, file: { id: "f", kind: "image/jpeg" }, caption: knife });
    const feared = two().says("red oil can light came on").says("I am scared of him", ben);
    expect(feared.hire().talks["p2"]?.doubt?.danger).toBe("threat");
    expect(staffRead(feared)).toContain("scared of him");
    expect(feared.callouts()[0]?.words).not.toContain("scared");
    for (const one of [play, photo]) expect(one.callouts()[0]?.words).not.toContain("knife");
  });
  it("takes no more words of somebody whose threat is open", () => {
    const play = two().says("the van is on fire").says(knife, ben);
    play.says("she stands outside the door now", ben);
    expect(play.callouts()[0]?.words).not.toContain("outside");
    expect(play.callouts()[1]?.words).toContain("outside");
  });
  it("says which one it is only to whoever has another", () => {
    const play = two().says("red oil can light came on").says(knife, ben);
    play.staff("morag", { do: "take", callout: 1 });
    expect(told(play, "p1")).toEqual(["Morag has read this and has it now."]);
    expect(told(play, "p2").join()).toContain("oil");
  });
  it("is never joined to a threat, nor are two people's threats", () => {
    const play = two().says(knife, ben).says("he is hitting me and says he will kill me");
    expect(play.callouts().map((c) => c.matter)).toEqual(["threat", "threat"]);
    play.staff("morag", { do: "done", callout: 2, outcome: "joined", to: 1 });
    expect(play.callouts().map((c) => c.state)).toEqual(["nobody-yet", "nobody-yet"]);
    expect(staffRead(play)).toContain("A threat stays a matter of its own.");
  });
  it("is in the copy of whoever raised it without the words of another", () => {
    const play = two().says("red oil can light came on");
    expect(dataOf(play, "p1")).toContain('"words":"red oil can light came on"');
    play.says("red oil can light came on, benwords", ben);
    const copy = dataOf(play, "p1");
    expect(copy).not.toContain("benwords");
    expect(copy).toContain('"state":"nobody-yet"');
  });
});

describe("where somebody threatened is", () => {
  const hidesAt = (play: Play) =>
    play.says(knife, ben).arrives({
      kind: "located",
      from: { person: "p2", via: { channel: "web", to: "p2" } },
      lat: 57.48625,
      lon: -4.21926,
    });
  const german = { lang: "de" };
  const lastKnown = /57\.48|NH 6705/;

  it("is told to nobody else of the hire in a later danger, whoever writes of it", () => {
    for (const person of ["p1", "p2"]) {
      const play = hidesAt(two(german)).says("Rauch im Wagen, es brennt", { person });
      expect(play.callouts().map((c) => c.matter)).toContain("smoke-in-van");
      expect(told(play, "p1").join()).toContain("SX26 ABC");
      expect(told(play, "p1").join()).not.toMatch(lastKnown);
    }
  });
  it("is told to nobody else in words either, nor once the threat is done", () => {
    const play = two(german).says(knife, ben);
    play.says("A9 northbound just past Dalwhinnie", ben);
    expect(play.hire().placeSaid?.by).toBe("p2");
    play.staff("callum", { do: "done", callout: 1, outcome: "other" });
    play.says("Rauch im Wagen, es brennt");
    expect(told(play, "p1").join()).not.toContain("Dalwhinnie");
  });
  it("is told to themselves, and to staff as theirs alone", () => {
    const play = hidesAt(two(german)).says("sie bedroht mich mit einem Messer", ben);
    expect(play.callouts()).toHaveLength(1);
    expect(comes(play, "Last known place")).toBe(true);
    expect(staffRead(play)).toMatch(/NH 6705 4617.*\(of Ben: tell nobody else of the hire\)/);
  });
  it("is not taken for the place of another", () => {
    const play = hidesAt(two()).says("red oil can light came on");
    play.taps("Safe place");
    expect(told(play, "p1").join()).toContain("Where are you?");
  });
  it("leaves a place that another told in the card for everybody", () => {
    const play = two(german).arrives({
      kind: "located",
      from: { person: "p1", via: { channel: "web", to: "p1" } },
      lat: 57.48625,
      lon: -4.21926,
    });
    play.says("Rauch im Wagen, es brennt", ben);
    expect(told(play, "p1").join()).toMatch(lastKnown);
    const alone = two(german).arrives({
      kind: "located",
      from: { person: "p1", via: { channel: "web", to: "p1" } },
      lat: 57.48625,
      lon: -4.21926,
    });
    alone.says("sie bedroht mich mit einem Messer", ben);
    expect(told(alone, "p2").join()).not.toMatch(lastKnown);
  });
});
