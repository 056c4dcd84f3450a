/** Which messages count as not understood, and what is left out of their words. */
import { describe, expect, it } from "vitest";
import { sayChoice, takenFor } from "../../src/matching/choose.js";
import type { LaneId } from "../../src/post.js";
import { type Heard, missed } from "../../src/wordings/missed.js";
import { plain } from "../../src/wordings/plain.js";
import { noon } from "../kit/small-house.js";

let n = 0;
const heard = (text: string, because: string, more: Partial<Heard> = {}): Heard => ({
  lane: "hire:h1" as LaneId,
  n: ++n,
  at: noon,
  person: "p1",
  text,
  because: because ? [because] : [],
  van: "curlew",
  names: ["Ann", "Stone"],
  ...more,
});
const tap = (what: string, more: Partial<Heard> = {}) =>
  heard("a label", "", { tap: what, ...more });
const found = (...all: Heard[]) =>
  missed(all).map((m) => [m.text, m.how, ...(m.chose ? [m.chose] : [])]);

describe("messages that were not understood", () => {
  it("are those handed to a person, and those offered a choice", () => {
    expect(
      found(
        heard("where is the thing", "person: rubbish 0.20"),
        heard("how do i do it", "choices: gas-on 0.30, kettle 0.20"),
        heard("where is the jack", "answer: jack 0.95"),
        heard("ta", "courtesy: thanks 0.90"),
        heard("between the marks", "reading kept"),
      ),
    ).toEqual([
      ["where is the thing", "person"],
      ["how do i do it", "offered"],
    ]);
  });
  it("carry the entry that was chosen from the choice", () => {
    expect(found(heard("the hob", "choices: gas-on 0.30, kettle 0.20"), tap("e:gas-on"))).toEqual([
      ["the hob", "chose", "gas-on"],
    ]);
  });
  it("a follow-up button after an answer is no choice", () => {
    expect(found(heard("the hob", "answer: gas-on 0.90"), tap("e:kettle"))).toEqual([]);
  });
  it("are those answered with something else, or none of these, or after which a person was asked for", () => {
    for (const button of ["else", "none", "person"])
      expect(found(heard("the hob", "answer: gas-on 0.90"), tap(button)), button).toEqual([
        ["the hob", "else"],
      ]);
    expect(found(heard("the hob", "choices: gas-on 0.30"), tap("e:gas-on"), tap("else"))).toEqual([
      ["the hob", "else"],
    ]);
  });
  it("a tap belongs to the last words of the same person of the same hire", () => {
    const other = { person: "p2" };
    expect(
      found(
        heard("mine", "answer: jack 0.90"),
        heard("theirs", "answer: jack 0.90", other),
        heard("in another hire", "answer: jack 0.90", { lane: "hire:h2" as LaneId }),
        tap("else", other),
      ),
    ).toEqual([["theirs", "else"]]);
    expect(found(heard("mine", "answer: jack 0.90"), heard("ok", ""), tap("else"))).toEqual([]);
  });
});

describe("what a message was taken for", () => {
  const entries = [
    { id: "gas-on", p: 0.304 },
    { id: "kettle", p: 0.2 },
  ];
  it.each(["answer", "choices", "triage", "lacks", "courtesy", "person"] as const)(
    "is read from the stored reason as it was written: %s",
    (outcome) => {
      const because = ["doubt: no", sayChoice({ outcome, entries }), "told"];
      expect(takenFor(because)).toEqual({ outcome, entries: ["gas-on", "kettle"] });
      expect(takenFor([sayChoice({ outcome, entries: [] })])).toEqual({ outcome, entries: [] });
    },
  );
  it("is nothing where no choice was acted on", () => {
    expect(takenFor(["reading kept", "kept: call-out 1 is open"])).toBeUndefined();
  });
});

describe("words without what tells who wrote them", () => {
  it.each([
    ["ring me on 07700 900123", "ring me on (number)"],
    ["+44 (0)7700 900-123 please", "(number) please"],
    ["the plate is SX26 ABC, or sx26abc", "the plate is (plate), or (plate)"],
    ["write to ann.s@example.org or www.example.org/x", "write to (mail) or (link)"],
    ["ANN here, Mrs Stone's van", "(name) here, Mrs (name)'s van"],
    [
      "the canny annex at 230 volts, 2 kW, 92,340 miles",
      "the canny annex at 230 volts, 2 kW, 92,340 miles",
    ],
    ["we stand at 57.4778, -4.2247", "we stand at (place)"],
  ])("%s → %s", (text, wanted) => {
    expect(plain(text, ["Ann", "Stone"])).toBe(wanted);
  });
  it("leaves out a double name whole and in its parts", () => {
    expect(plain("jo here, Jo-Anne Smith", ["Jo-Anne Smith"])).toBe("(name) here, (name)");
  });
});
