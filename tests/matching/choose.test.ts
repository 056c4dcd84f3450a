import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import { understand } from "../../src/hires/understand.js";
import type { VanType } from "../../src/knowledge/placeholders.js";
import { readBook } from "../../src/knowledge/read.js";
import { fromKept, toKept } from "../../src/matching/cache.js";
import type { Choice, Context } from "../../src/matching/choose.js";
import { build, type Matcher } from "../../src/matching/matcher.js";
import { teach, unteach } from "../../src/matching/teach.js";

const { book } = readBook();
let matcher: Matcher;
beforeAll(() => {
  matcher = build(book);
}, 180_000);

function van(id: string): VanType {
  const found = book.vans.get(id);
  if (!found) throw new Error(`no van ${id}`);
  return found;
}
const say = (text: string, on = "curlew", context?: Context, m = matcher): Choice =>
  understand(m, { text, van: van(on), ...(context ? { context } : {}) });
const first = (c: Choice) => c.entries[0]?.id;

describe("what a message means", () => {
  it("answers each entry's own first ask with that entry, or says that the van lacks it", () => {
    const wrong: string[] = [];
    for (const entry of book.entries.values()) {
      const ask = entry.asks[0];
      if (ask === undefined || entry.kind === "courtesy") continue;
      const only =
        entry.only?.[0] ??
        [...book.vans.keys()].find(
          (id) => entry.needs.length === 0 || entry.needs.some((f) => van(id).has.includes(f)),
        );
      const choice = say(ask, only);
      if (first(choice) !== entry.id && !choice.doubt)
        wrong.push(`${entry.id}: "${ask}" → ${first(choice)}`);
    }
    // Known: "key light flashing and it won't start" is told as a van that does not start, which it is too.
    expect(wrong.filter((w) => !w.startsWith("immobiliser: "))).toEqual([]);
  });
  it("says that a van has no shower rather than how to use one", () => {
    expect(say("how do I use the shower", "wren")).toMatchObject({
      outcome: "lacks",
      lacks: "shower",
      answered: 0,
    });
  });
  it("names a feature that no entry is about when the van has it not", () => {
    expect(say("is there a tv", "curlew")).toMatchObject({ outcome: "lacks", lacks: "television" });
  });
  it("gives two clear questions two answers", () => {
    const choice = say("how do I empty the toilet and where is the first aid kit?");
    expect(choice.answered).toBe(2);
    expect(
      choice.entries
        .slice(0, 2)
        .map((e) => e.id)
        .sort(),
    ).toEqual(["first-aid", "toilet-empty"]);
  });
  it("answers a danger together with a question with the danger alone", () => {
    const choice = say("the van is on fire, and also what time do we return it?");
    expect(choice).toMatchObject({ outcome: "triage", answered: 1, danger: "fire" });
    expect(first(choice)).toBe("fire");
  });
  it.each([
    "no gas smell, just checking: bottle's light and the hob's gone weak, is it empty?",
    "nobody hurt, no other car, only I scratched the bumper at a gate. what now?",
  ])("does not fear what is said not to be: %j", (text) => {
    expect(say(text)).toMatchObject({ doubt: false });
    expect(say(text).danger).toBeUndefined();
  });
  it.each([
    ["no fire but the van is full of smoke", "smoke-in-van"],
    ["nobody hurt but we are stuck on the rails", "level-crossing"],
    ["No smell, no hiss, but all of us have headaches and feel sick", "carbon-monoxide"],
    ["no pulse", "unconscious"],
  ])("a denial beside a danger, or as its sign, takes nothing from it: %j", (text, danger) => {
    expect(say(text)).toMatchObject({ outcome: "triage", danger });
  });
  it("puts the worse of a light and an effect first", () => {
    const choice = say("the red oil light is on and the engine is knocking");
    expect(choice.outcome).toBe("triage");
    expect(first(choice)).toBe("oil-pressure");
  });
  it.each([
    ["van wont start and heater shows error", "wont-start", "heater-not-working"],
    ["heater shows an error and van won't start", "wont-start", "heater-not-working"],
    ["the van won't start and the fridge isn't cold", "wont-start", "fridge-not-cold"],
    ["fridge not working and red oil light came on", "oil-pressure", "fridge-not-cold"],
    ["No water from taps and battery light is on while driving", "charging-system", "no-water"],
    ["flat tyre, also the toilet light is red", "flat-tyre", "toilet-use"],
    ["step wont go in, and red brake light on", "brake-system", "steps"],
    ["tyre completely flat and amber abs light", "flat-tyre", "abs"],
    ["the van wont start. how do I turn on the heater meanwhile?", "wont-start", "heater-on"],
  ])("opens both of two problems, the worse first: %j", (text, worse, other) => {
    const choice = say(text);
    expect(choice).toMatchObject({ outcome: "triage", answered: 2 });
    expect(choice.entries.slice(0, 2).map((e) => e.id)).toEqual([worse, other]);
  });
  it.each(["the van wont start, it just clicks", "engine wont start, it just clicks"])(
    "opens one trouble that is told twice, first vaguely: %j",
    (text) => {
      const choice = say(text);
      expect(choice).toMatchObject({ outcome: "triage", answered: 1 });
      expect(first(choice)).toBe("wont-crank-clicks");
    },
  );
  it("tells of an engine that will not start without a word of exhaust fluid", () => {
    const choice = say("engine won't start");
    expect(choice).toMatchObject({ outcome: "triage", answered: 1 });
    expect(first(choice)).toBe("wont-start");
  });
  it.each([
    "we had a flat tyre yesterday but it got fixed, where can we get gas?",
    "no warning lights and engine sounds normal, how do I fill water",
    "should i worry if the oil light comes on and the engine is cold",
    "parked by the loch and the kids are asleep, how do i close the blinds",
  ])(
    "opens nothing for what is over, denied, supposed or only told around a question: %j",
    (text) => {
      expect(say(text).outcome).not.toBe("triage");
    },
  );
  it.each(["thanks", "hello", "cheers pal", "good evening"])(
    "meets %j with a short human line",
    (text) => {
      expect(say(text).outcome).toBe("courtesy");
    },
  );
  it.each([
    "what is the capital of Mongolia",
    "best fish and chips in Oban",
    "asdfghjkl",
    "🙂",
    "how much is a van for two weeks next July",
  ])("never answers %j as if known", (text) => {
    expect(["person", "choices", "courtesy"]).toContain(say(text).outcome);
  });
  it("takes a thing asked about with an ok for a question, and an ok alone for none", () => {
    expect(say("kettle ok?").outcome).not.toBe("courtesy");
    expect(say("are the tyres ok").outcome).not.toBe("courtesy");
    expect(say("ok, lovely").outcome).toBe("courtesy");
    expect(say("ok thanks mate").outcome).toBe("courtesy");
  });
  it("takes no alarm from what is said not to be", () => {
    expect(first(say("nobody was hit when the bike fell off the rack"))).not.toBe("injury");
  });
  it("explains every decision", () => {
    const { why } = say("wher is the fire blnket");
    expect(why.corrected).toContain("blnket → blanket");
    expect(why.entries[0]?.id).toBe("fire-blanket");
    expect(Object.keys(why.costs)).toEqual(["tell", "offer", "person"]);
  });
  it("never throws and always decides, whatever is written", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme", maxLength: 200 }), (text) =>
        ["answer", "choices", "triage", "lacks", "courtesy", "person"].includes(say(text).outcome),
      ),
      { numRuns: 200 },
    );
  });
});

describe("what a message means after what was said", () => {
  const offered = ["bed-lower", "bed-upper", "bedding"];
  it.each([
    ["the second one", "bed-upper"],
    ["3", "bedding"],
    ["the last one", "bedding"],
    ["I mean the first one, please", "bed-lower"],
    ["no, the second", "bed-upper"],
  ])("takes %j for that choice on the screen", (text, id) => {
    expect(first(say(text, "curlew", { lastEntries: [], offered }))).toBe(id);
  });
  it.each([
    ["where is the first aid kit", "first-aid"],
    ["how long will the battery last", "leisure-battery"],
    ["no hot water", "hot-water"],
    ["no brakes", "brakes-soft"],
    ["no wifi", "wifi"],
    ["another light came on", undefined],
    ["no one", undefined],
  ])("takes %j for what it says, whatever is on the screen", (text, id) => {
    const choice = say(text, "curlew", { lastEntries: offered, offered });
    expect(choice.why.because.join()).not.toMatch(/from the screen|turns down/);
    if (id) expect(first(choice)).toBe(id);
  });
  it("leaves out what was just turned down", () => {
    const choice = say("no, the other one", "curlew", {
      lastEntries: ["bed-lower"],
      offered: ["bed-lower", "bed-upper"],
    });
    expect(first(choice)).toBe("bed-upper");
  });
  it("reads 'and the other one?' after one bed as the other bed", () => {
    expect(first(say("and the other one?", "curlew", { lastEntries: ["bed-lower"] }))).toBe(
      "bed-upper",
    );
  });
});

describe("a trouble that is told after another one", () => {
  it.each([
    ["and the battery light red too", ["flat-tyre"], "charging-system"],
    ["also engine light flashing", ["flat-tyre"], "engine-flashing"],
    ["and the red oil can light is on", ["flat-tyre"], "oil-pressure"],
    ["now there is steam too", ["flat-tyre"], "overheating"],
  ])("is one of its own: %j", (text, lastEntries, id) => {
    expect(first(say(text, "wren", { lastEntries }))).toBe(id);
  });
  it("is one of its own, like every plain question, where the words take nothing up", () => {
    expect(say("frigde not cold", "wren", { lastEntries: ["puncture"] })).toMatchObject({
      outcome: "answer",
      entries: [{ id: "fridge-not-cold" }, {}, {}],
    });
  });
  it("is no other one where the words only go on with it", () => {
    const context = { lastEntries: ["engine-steady"] };
    expect(first(say("its started blinking now", "wren", context))).toBe("engine-flashing");
  });
});

describe("teaching", () => {
  const taught = { entry: "first-aid", ask: "where did the flumsticks go" };
  it("takes effect at once and is undone as fast", () => {
    expect(first(say(taught.ask))).not.toBe("first-aid");
    const wiser = teach(matcher, taught);
    expect(say(taught.ask, "curlew", undefined, wiser)).toMatchObject({ outcome: "answer" });
    expect(first(say(taught.ask, "curlew", undefined, wiser))).toBe("first-aid");
    expect(first(say(taught.ask, "curlew", undefined, unteach(wiser, taught)))).not.toBe(
      "first-aid",
    );
  });
  it("changes nothing for an entry that does not exist or an ask without a word", () => {
    expect(teach(matcher, { entry: "no-such-entry", ask: "hello" })).toBe(matcher);
    expect(teach(matcher, { entry: "first-aid", ask: "…" })).toBe(matcher);
  });
});

describe("the cache", () => {
  const texts = [
    "how do I connect to the mains",
    "red light like an oil can",
    "wher is the jack",
    "tell me a joke",
  ];
  it("decides exactly as the matcher that it was made of", () => {
    const again = build(book, [], fromKept(structuredClone(toKept(matcher.base))));
    for (const text of texts)
      expect(say(text, "wren", undefined, again)).toEqual(say(text, "wren"));
  });
  it("can be taught as the matcher that it was made of", () => {
    const again = build(book, [], fromKept(structuredClone(toKept(matcher.base))));
    const taught = { entry: "first-aid", ask: "where is the green cross thing" };
    for (const text of [...texts, taught.ask])
      expect(say(text, "wren", undefined, teach(again, taught))).toEqual(
        say(text, "wren", undefined, teach(matcher, taught)),
      );
  });
});

describe("misspelt words", () => {
  it("in a hundred and fifty fixed slips, turn no confident right answer into a confident wrong one", () => {
    const sure = [...book.entries.values()]
      .filter((e) => e.kind === "answer" && e.needs.length === 0)
      .flatMap((e) => e.asks.slice(0, 2).map((ask) => ({ id: e.id, ask })))
      .filter(({ id, ask }) => say(ask).outcome === "answer" && first(say(ask)) === id);
    expect(sure.length).toBeGreaterThan(100);
    fc.assert(
      fc.property(fc.constantFrom(...sure), fc.nat(), ({ id, ask }, n) => {
        const words = ask.split(" ");
        const at = words.findIndex((w) => /^[a-z]{6,}$/i.test(w));
        if (at < 0) return true;
        const word = words[at] ?? "";
        const i = 1 + (n % (word.length - 3));
        words[at] = word.slice(0, i) + (word[i + 1] ?? "") + (word[i] ?? "") + word.slice(i + 2);
        const choice = say(words.join(" "));
        return (
          choice.outcome !== "answer" ||
          choice.entries.slice(0, choice.answered).some((e) => e.id === id)
        );
      }),
      { numRuns: 150, seed: 7 },
    );
  });
});
