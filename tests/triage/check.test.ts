import { describe, expect, it } from "vitest";
import { concerns } from "../../src/knowledge/book.js";
import { checkOf, endsOf, isForUnsure } from "../../src/knowledge/checks/for-van.js";
import type { End, Question } from "../../src/knowledge/schema.js";
import { optionIn } from "../../src/triage/check.js";
import { voiceFor } from "../../src/wording/say.js";
import { book } from "../kit/hire.js";

/** The check of an entry as it is put to those who have this van. */
function put(entry: string, van = "curlew"): Question {
  const check = checkOf(voiceFor(book, van, "gb", "en"), book.entries.get(entry));
  if (!check) throw new Error(`${entry} has no check`);
  return check;
}
const labels = (check: Question) => check.options.map((o) => o.say);
/** Where the option with this label leads. */
function leadsTo(entry: string, label: string, van?: string): Question | End {
  const option = put(entry, van).options.find((o) => o.say === label);
  if (!option) throw new Error(`${entry}: no "${label}" in ${labels(put(entry, van)).join(", ")}`);
  return option.then;
}

/** The label that words choose at the first question of an entry's check. */
function chosen(entry: string, words: string, strictly = false): string | undefined {
  const check = put(entry);
  return check.options[optionIn(check, words, strictly) ?? -1]?.say;
}

describe("words that answer a guided check", () => {
  it.each([
    ["engine-steady", "it is steady", "Steady"],
    ["engine-steady", "looks solid to me", "Steady"],
    ["engine-steady", "blinking", "It flashes"],
    ["unknown-light", "orange", "Amber, yellow or orange"],
    ["unknown-light", "yellowish, flashing", "It flashes, or there are several"],
    ["coolant-hot", "lots of steam coming out", "Steam, or liquid running out"],
    ["tyre-pressure-light", "the front left is flat", "One is flat, low or much warmer"],
    ["oil-level", "between the two marks", "Between the two marks"],
    ["oil-level", "below the lower mark", "At or below the lower mark, or dry"],
    ["brake-pads", "a horrible grinding", "Grinding or scraping"],
    ["unknown-beep", "4", "From the dash or parking aid, all well"],
  ])("%s: “%s” is “%s”", (entry, words, label) => expect(chosen(entry, words)).toBe(label));
  it.each([
    // What clears a van is said in full, and nothing that denies is guessed at.
    ["tyre-pressure-light", "they look a bit low or full I guess, not sure"],
    ["tyre-pressure-light", "all good"],
    ["engine-steady", "it is not steady"],
    ["brake-pads", "unusual noise"],
    ["oil-level", "where is the dipstick"],
    ["flat-tyre", "on a country road"],
    ["abs", "please tell me what to do"],
  ])("%s: “%s” chooses nothing", (entry, words) => expect(chosen(entry, words)).toBeUndefined());
  it.each([
    ["collision", "no, all are well", "No, all are well"],
    ["collision", "No but we're in the traffic", "No, but we are in the traffic"],
    ["collision", "yes", "Yes, or I am not sure"],
    ["out-of-fuel", "yes it runs again", "Yes, and it runs again"],
    ["out-of-fuel", "no", "No"],
    ["hv-battery", "nope", "No, nothing"],
    ["water-leak-inside", "Yes, near the electrics", "Yes, and near electrics"],
  ])("%s: where labels begin alike, “%s” is “%s” by what sets it apart", (entry, words, label) =>
    expect(chosen(entry, words)).toBe(label),
  );
  it.each([
    ["collision", "no"],
    ["collision", "No."],
    ["collision", "no, all ok"],
    ["collision", "no one is hurt"],
    ["out-of-fuel", "yes"],
    ["out-of-fuel", "yes, still nothing"],
    ["out-of-fuel", "yes but it will not run again"],
    ["exhaust-fluid-no-restart", "no"],
    ["exhaust-fluid-no-restart", "no it starts not"],
    ["water-leak-inside", "yes"],
    ["theft-break-in", "no"],
    ["out-of-charge", "it does not"],
    ["theft-break-in", "I can't find the van"],
    ["theft-break-in", "can't see them any more"],
  ])("%s: “%s” chooses none of the labels that begin so", (entry, words) =>
    expect(chosen(entry, words)).toBeUndefined(),
  );
  it.each([
    ["hv-battery", "not sure", "Yes, or I am not sure"],
    ["low-charge", "I don't know", "No, or I don't know"],
    ["oil-pressure", "can't tell", "I can't look there safely"],
    ["unknown-light", "no idea, sorry", "I can't tell"],
    ["stuck-in-mud", "not sure", "I can't tell"],
    ["stuck-in-mud", "no idea", "I can't tell"],
    ["wipers-failed", "I can't see it", "I can't tell"],
    ["unknown-beep", "don't know", "I can't tell, or something else"],
    ["flat-tyre", "I'm not sure", "At the edge of a road, or I am not sure"],
    ["bulb-out", "cannot find it", "Several, or I can't find it"],
  ])("%s: who is not sure (“%s”) has said “%s”", (entry, words, label) =>
    expect(chosen(entry, words)).toBe(label),
  );
  it("are for whoever has the matter once somebody has it, unless they name an option", () => {
    expect(chosen("oil-pressure", "yes a small puddle", true)).toBeUndefined();
    expect(chosen("oil-pressure", "Nothing", true)).toBe("Nothing");
    expect(chosen("oil-pressure", "not sure", true)).toBeUndefined();
  });
});

/** Every question of every check that is put to those who have this van. */
function questions(van: string): { id: string; question: Question }[] {
  const voice = voiceFor(book, van, "gb", "en");
  const all = (id: string, node: Question | End): { id: string; question: Question }[] =>
    "ask" in node ? [{ id, question: node }, ...node.options.flatMap((o) => all(id, o.then))] : [];
  return [...book.entries.values()].flatMap((entry) => {
    const check = concerns(entry, voice.van) ? checkOf(voice, entry) : undefined;
    return check ? all(entry.id, check) : [];
  });
}

describe("words that answer no guided check at all", () => {
  it.each([
    "please ring me",
    "can you ring me now",
    "I will ring you",
    "this is urgent, please ring me now",
    "how long will it take",
    "what time do you open",
    "are you still there",
    "is it far to drive",
    "where is the next garage",
    "thank you very much",
    "the kids are hungry",
  ])("choose no label of any: %s", (words) => {
    const found = [...book.vans.keys()].flatMap((van) =>
      questions(van).filter(({ question }) => optionIn(question, words) !== undefined),
    );
    expect(found.map(({ id }) => id)).toEqual([]);
  });
});

describe("a guided check as it is put", () => {
  it.each([...book.vans.keys()])(
    "can be answered with “I don't know” at every question by those who have a %s, and that clears nothing",
    (van) => {
      const put = questions(van);
      expect(put.length).toBeGreaterThan(50);
      for (const { id, question } of put) {
        const doubtful = question.options.filter((o) => isForUnsure(o.say));
        expect(doubtful.length, `${id}: ${question.ask}`).toBe(1);
        const found = question.options[optionIn(question, "I don't know") ?? -1];
        expect(found, id).toBe(doubtful[0]);
        expect(
          doubtful.flatMap((o) => endsOf(o.then)).map((e) => e.end),
          `${id}: ${question.ask}`,
        ).not.toContain("cleared");
      }
    },
  );
  it("ends for who cannot tell at the firm, and where they are if the van may not move", () => {
    expect(leadsTo("cracked-windscreen", "I can't tell")).toEqual({
      end: "firm",
      say: "Then stay where you are until we have spoken.",
      severity: "stop",
    });
    expect(leadsTo("water-leak-inside", "I can't tell")).toMatchObject({
      end: "firm",
      severity: "soon",
    });
  });
  it("asks a van of nothing that it has not", () => {
    const strange =
      /clutch|dipstick|diesel|ignition|belt may|oil on|runs? rough|key will not turn/i;
    const asked = questions("plover").filter(({ question }) =>
      strange.test([question.ask, ...labels(question)].join(" / ")),
    );
    expect(asked.map(({ id }) => id)).toEqual([]);
    expect(labels(put("engine-cut-out", "plover"))).not.toContain(
      "Standing, and it restarts by itself",
    );
    expect(labels(put("engine-cut-out", "wren"))).toContain("Standing, and it restarts by itself");
  });
  it.each([
    ["hit-something", "Smoke, hissing, or drips from below"],
    ["fluid-leak", "From under the floor, or it hisses"],
    ["overheating", "Smoke, vapour, hissing or drips"],
    ["coolant-hot", "Smoke, vapour, hissing or drips"],
    ["coolant-low", "Hissing, vapour or an odd smell"],
    ["engine-cut-out", "Smoke, hissing or an odd smell"],
  ])("%s of an electric van: “%s” is its damaged drive battery", (entry, label) => {
    expect(leadsTo(entry, label, "plover")).toMatchObject({
      severity: "danger",
      goTo: "hv-damage",
    });
    expect(labels(put(entry, "curlew"))).not.toContain(label);
  });
  it("sends nobody out of a van that rolls", () => {
    const alone = leadsTo("parking-brake-fault", "Alone on a slope, foot on the brake");
    expect(alone).toMatchObject({ end: "firm", say: expect.stringMatching(/^Stay in, foot on/) });
    expect(leadsTo("parking-brake-fault", "It does not hold")).toMatchObject({
      say: expect.stringMatching(/^First block a wheel\. Then everyone out/),
    });
  });
  it("has an answer for the edge of an ordinary road, and gets everybody off it", () => {
    expect(leadsTo("flat-tyre", "At the edge of a road, or I am not sure")).toMatchObject({
      end: "firm",
      say: expect.stringMatching(/off the road, away from the van/),
    });
  });
  it("of the particle filter has an answer for flashing; a light that is merely on is steady", () => {
    expect(leadsTo("particle-filter", "It flashes, or another light is on")).toMatchObject({
      severity: "stop",
    });
    expect(leadsTo("particle-filter", "Steady, alone, full power")).toMatchObject({
      end: "cleared",
    });
    expect(labels(put("particle-filter")).join()).not.toMatch(/or it stays on/);
  });
  it("of brake lights stops the van at any hour when all are out", () => {
    expect(leadsTo("bulb-out", "All brake lights")).toMatchObject({
      end: "firm",
      severity: "stop",
    });
    expect(leadsTo("lights-failed", "Only one lamp is out")).toMatchObject({ goTo: "bulb-out" });
    expect(leadsTo("lights-failed", "Headlights, tail or all brake lights")).toMatchObject({
      end: "roadside",
    });
  });
  it.each(["out-of-fuel", "wrong-fuel", "exhaust-fluid-in-fuel", "wrong-filler"])(
    "%s: the firm arranges it, since roadside assistance may not come for that",
    (id) => {
      const entry = book.entries.get(id);
      expect(entry?.kind === "fault" && entry.text?.roadside).toBe(false);
      for (const van of book.vans.keys())
        expect(endsOf(put(id, van)).map((e) => e.end)).not.toContain("roadside");
    },
  );
});
