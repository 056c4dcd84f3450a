/** Telephone numbers as people write them. All are of Ofcom's ranges for drama, or of the same shape. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { e164, numbersIn, waysToWrite } from "../src/phone.js";

describe("a telephone number", () => {
  it.each([
    ["07700 900500", "44", "+447700900500"],
    ["+44 7700 900500", "44", "+447700900500"],
    ["+44 (0)7700 900500", "44", "+447700900500"],
    ["0044 7700-900500", "44", "+447700900500"],
    ["(07700) 900 500", "44", "+447700900500"],
    ["01632 960100", "44", "+441632960100"],
    ["085 700 0500", "353", "+353857000500"],
    ["+49 1512 3456789", "44", "+4915123456789"],
    ["07700 900500 (Ann)", "44", "+447700900500"],
    ["07700 900500 / 07700 900501", "44", "+447700900500"],
  ])("%s, written in +%s, is %s", (text, code, full) => expect(e164(text, code)).toBe(full));
  it.each(["", "999", "FIRM", "07", "447700900500", "+0770090050", "+1234567890123456"])(
    "%s is none in international form",
    (text) => expect(e164(text, "44")).toBeUndefined(),
  );
  it("may share its field with others", () => {
    expect(numbersIn("07700 900500 / +44 7700 900501, or 07700 900502")).toEqual([
      "07700900500",
      "+447700900501",
      "07700900502",
    ]);
    expect(numbersIn("room 12, ring 999")).toEqual([]);
  });
  it("is found again in every way in which a booking may have it", () => {
    const digits = fc.stringMatching(/^[1-9]\d{8,9}$/);
    fc.assert(
      fc.property(digits, fc.constantFrom("44", "353"), (rest, code) => {
        for (const written of [
          `0${rest}`,
          `+${code} ${rest}`,
          `00${code}${rest}`,
          `+${code} (0)${rest}`,
        ]) {
          const [stored = ""] = numbersIn(written);
          expect(waysToWrite(e164(written, code) ?? "", code)).toContain(stored);
        }
      }),
    );
  });
});
