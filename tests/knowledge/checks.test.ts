/** What the check of the knowledge base refuses of a guided check, a placeholder, and the name of an appliance. */
import { describe, expect, it } from "vitest";
import { examineChecks } from "../../src/knowledge/checks/examine.js";
import { resolves } from "../../src/knowledge/checks/texts.js";
import { type Question, SumsFile } from "../../src/knowledge/schema.js";
import { book } from "./told.js";

const firm = { end: "firm", say: "Ring us." } as const;

/** What is found about a check of this entry. */
function found(id: string, check: Question): string[] {
  const entry = book.entries.get(id);
  if (!entry) throw new Error(id);
  const messages: string[] = [];
  examineChecks(
    book,
    entry,
    { check, variants: [] },
    {
      say: (path, message) => messages.push(`${path.join(".")}: ${message}`),
      text: () => {},
      unknown: (what, word) => `unknown ${what} "${word}"`,
    },
  );
  return messages;
}

describe("a guided check", () => {
  it("leaves at least two options for every van to which it is put", () => {
    const options = [
      { say: "It starts", then: firm },
      { say: "The clutch slips", when: "manual-gearbox", then: firm },
    ];
    expect(found("wont-start", { ask: "What happens?", options })).toEqual([
      "check.options: not 2 to 5 options for plover",
    ]);
    expect(found("out-of-charge", { ask: "What?", options: options.slice(0, 1) })).toEqual([
      "check.options: not 2 to 5 options for plover",
    ]);
  });
  it("leads nobody to an entry that does not concern their van", () => {
    const to = (goTo: string) => ({ ...firm, goTo });
    const ask = (unless?: string) => ({
      ask: "When?",
      options: [
        { say: "Standing", unless, then: to("stop-start") },
        { say: "Moving", then: firm },
        { say: "Smoke", then: firm },
      ],
    });
    expect(found("engine-cut-out", ask())).toEqual([
      'check.options.0.then.goTo: "stop-start" does not concern plover',
    ]);
    expect(found("engine-cut-out", ask("electric-drive"))).toEqual([]);
    expect(found("engine-cut-out", ask("sails"))).toContain(
      'check.options.0: unknown feature "sails"',
    );
  });
  it("of a danger until checked has an option for who cannot tell", () => {
    const options = [
      { say: "Loud", then: firm },
      { say: "A chirp", then: firm },
    ];
    expect(found("unknown-beep", { ask: "What?", options })).toHaveLength(1);
    const more = [...options, { say: "I can't tell", then: firm }];
    expect(found("unknown-beep", { ask: "What?", options: more })).toEqual([]);
  });
});

describe("a placeholder that vans lack", () => {
  const missing = (words: string, ...ids: string[]) => {
    const messages: string[] = [];
    const say = (_path: unknown, message: string | undefined) => messages.push(`${message}`);
    const places = [...book.vans.values()].map((van) => ({
      van,
      values: new Map(van.id === "plover" ? [["van.gas", "none"]] : [["van.tank", "70 litres"]]),
    }));
    const check = { say, book, places, askedIn: new Map(), seen: new Set<string>() };
    resolves(check, [["id", "lead"], words], (van) => ids.includes(van.id));
    return messages;
  };
  it("is told once, of the first van that is told the text", () => {
    expect(missing("{van.gas}, {van.gas}", "wren", "plover", "curlew")).toEqual([
      'unknown placeholder "van.gas"; the nearest is "van.tank" (for curlew)',
    ]);
    expect(missing("{van.tank} {van.gas}", "wren", "plover")).toHaveLength(2);
  });
  it("is none where no such van is told the text", () => {
    expect(missing("{van.gas}", "plover")).toEqual([]);
  });
});

describe("an appliance of the sums", () => {
  const refused = (word: string): boolean => {
    const kettle = { words: [word], watts: 1000, mains: true };
    return !SumsFile.safeParse({ says: {}, appliances: { kettle } }).success;
  };
  it("has names as they stand in a message, with nothing that a pattern reads otherwise", () => {
    for (const word of ["grill (gas)", "tv (12 v", "c++", "TV", " kettle", ""])
      expect(refused(word), word).toBe(true);
    for (const word of ["hot plate", "3-way fridge", "child's lamp"])
      expect(refused(word), word).toBe(false);
  });
});
