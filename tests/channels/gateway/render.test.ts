/** Messages as text, and texts as taps. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { asText, replyIn } from "../../../src/channels/gateway/render.js";
import { readBook } from "../../../src/knowledge/read.js";
import type { Message } from "../../../src/post.js";
import { readReading } from "../../../src/reminders/answer.js";
import { buttonsFor } from "../../../src/reminders/buttons.js";
import { noon } from "../../kit/small-house.js";

const { book } = readBook();
const paper = { book, publicUrl: "https://trips.example.org" };
const safe: Message = {
  text: "Is it a safe place to wait?",
  buttons: [
    { tap: "place:safe:1", label: "Safe place" },
    { tap: "place:unsafe:1", label: "Not safe" },
  ],
};
const sheet: Message = { text: "Which number?", pictures: ["lights-sheet"] };
const plain: Message = { text: "Thank you." };
const tapIn = (text: string, read: readonly Message[]) => {
  const reply = replyIn(text, read);
  return reply && "tap" in reply ? reply.tap : reply;
};

describe("a message as text", () => {
  it("has its words first and unchanged, then numbers for its buttons", () => {
    expect(asText(plain, paper)).toBe("Thank you.");
    expect(asText(safe, paper)).toBe(
      "Is it a safe place to wait?\nReply 1 for Safe place, 2 for Not safe.",
    );
  });
  it("has a link to a drawing that there is, and words for one that there is not", () => {
    const message = { text: "Look.", pictures: ["bench-lock", "no-such-drawing"] };
    expect(asText(message, paper)).toBe(
      "Look.\nDrawing: https://trips.example.org/pictures/bench-lock.svg\n(A drawing goes with this that a text message cannot carry.)",
    );
  });
  it("names every light of the numbered sheet, under the number that it has there", () => {
    const lines = asText(sheet, paper).split("\n");
    for (const [i, id] of book.lightSheet.entries())
      expect(lines).toContain(`${i + 1} ${book.entries.get(id)?.title}`);
    expect(book.lightSheet.length).toBeGreaterThan(20);
  });
});

describe("a text as a tap", () => {
  it.each(["1", " 1 ", "1.", "(1)", "Reply 1", "option 1", "No. 1", "safe place", "Safe place!"])(
    "%j is the first button",
    (text) => expect(tapIn(text, [safe])).toBe("place:safe:1"),
  );
  it.each(["12", "92340", "999", "1 of us is hurt", "it is safe", "place", "half", "1st", ""])(
    "%j is words",
    (text) => expect(tapIn(text, [safe])).toBeUndefined(),
  );
  it("that names a number which was not on offer says so", () => {
    expect(tapIn("3", [safe])).toBe("number:3");
    expect(tapIn("0", [safe])).toBe("number:0");
  });
  it("answers the last message with buttons, whatever came after without", () => {
    const older = { text: "?", buttons: [{ tap: "old", label: "Old" }] };
    expect(tapIn("1", [plain, safe, older])).toBe("place:safe:1");
    expect(tapIn("old", [plain, safe, older])).toBeUndefined();
  });
  it("is a number of the sheet of lights where that came last", () => {
    expect(tapIn("2", [plain, sheet, safe])).toBeUndefined();
    expect(tapIn("2", [safe, sheet])).toBe("place:unsafe:1");
  });
  it("answers nothing that was asked after it was written", () => {
    expect(tapIn("2", [plain])).toBe("number:2");
    expect(tapIn("2", [])).toBe("number:2");
    expect(tapIn("16", [plain])).toBeUndefined();
    expect(tapIn("not safe", [plain])).toBeUndefined();
  });
  it("is 0 for the button beside the sheet, whose own numbers begin at 1", () => {
    const none = { ...sheet, buttons: [{ tap: "sheet:none:1", label: "None of these" }] };
    expect(asText(none, paper).split("\n").at(-1)).toBe("Reply 0 for None of these.");
    expect(tapIn("0", [none])).toBe("sheet:none:1");
    expect(tapIn("none of these", [none])).toBe("sheet:none:1");
    expect(tapIn("1", [none])).toBeUndefined();
    expect(tapIn("12", [none])).toBeUndefined();
  });
  it("comes back to the very button for each number that was written beside it", () => {
    const label = fc.stringMatching(/^[a-z]{3,9}( [a-z]{3,9})?$/);
    fc.assert(
      fc.property(fc.uniqueArray(label, { minLength: 1, maxLength: 9 }), (labels) => {
        const message = { text: "?", buttons: labels.map((l, i) => ({ tap: `t${i}`, label: l })) };
        const options = asText(message, paper).split("\n").at(-1) ?? "";
        for (const [, n = "", of = ""] of options.matchAll(/(\d) for ([a-z ]+)/g))
          expect(tapIn(n, [message])).toBe(`t${labels.indexOf(of)}`);
        for (const [i, l] of labels.entries()) expect(tapIn(l, [message])).toBe(`t${i}`);
      }),
    );
  });
});

describe("a text under a reminder that asks for several readings", () => {
  const wants = ["oil", "odometer", "tyres", "coolant"] as const;
  const message = { text: "The check", buttons: buttonsFor(wants, book.reminders) };
  const told = (text: string) => {
    const reply = replyIn(text, [message]);
    return reply && "words" in reply ? reply.words : reply;
  };
  it("may have several numbers and the odometer, which are read as their words", () => {
    expect(asText(message, paper)).toMatch(
      /, 10 for Coolant not ok\.\nYou can send several numbers/,
    );
    for (const text of ["3 7 9", "3,7,9", "3, 7 and 9", " 3;7;9", "3 + 7 + 9"])
      expect(told(text)).toBe("Between the marks, Tyres ok, Coolant ok");
    expect(told("3 7 9 57,340 miles")).toBe(
      "Between the marks, Tyres ok, Coolant ok, 57,340 miles",
    );
    expect(replyIn("10", [message])).toEqual({ tap: "r:coolant=not-ok", typed: "10" });
  });
  it("or under the question who is in need, of which each counts", () => {
    const needs = ["alone", "cold"].map((need) => ({ tap: `need:${need}:1`, label: `${need}!` }));
    const question = { text: "?", buttons: [...needs, { tap: "need:none:1", label: "None" }] };
    expect(replyIn("1 and 2", [question])).toEqual({ words: "alone!, cold!" });
    expect(replyIn("1 3", [question])).toBeUndefined();
    expect(asText(question, paper)).toContain("several numbers");
  });
  it("is words where a number was not on offer, or nothing was chosen", () => {
    for (const text of ["3 11", "57,340 miles", "57340", "3 days", "the 3 of us and 9 bags"])
      expect(told(text)).toBeUndefined();
    expect(replyIn("1 2", [safe])).toBeUndefined();
  });
  it("gives the very readings of the buttons, whichever are chosen", () => {
    const index = (want: string) =>
      fc.constantFrom(
        ...message.buttons.flatMap((b, i) => (b.tap.startsWith(`r:${want}=`) ? [i] : [])),
      );
    fc.assert(
      fc.property(index("oil"), index("tyres"), index("coolant"), (oil, tyres, coolant) => {
        const words = told(`${oil + 1} ${tyres + 1} ${coolant + 1}`) as string;
        const options = { distanceUnit: "miles", at: noon, file: book.reminders } as const;
        const read = readReading(words, wants, options);
        const value = (i: number) => message.buttons[i]?.tap.split("=")[1];
        expect(read).toMatchObject({
          kind: "reading",
          reading: { oil: value(oil) },
          states: { tyres: value(tyres), coolant: value(coolant) },
          missing: ["odometer"],
        });
      }),
    );
  });
});
