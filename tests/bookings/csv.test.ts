/** Hires as table files: what other programs write is read, what is wrong is named by line and column, and what we write reads back. */
import { parse } from "csv-parse/sync";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Content } from "../../src/bookings/change.js";
import { hireRows, readHires } from "../../src/bookings/csv.js";
import { instantOf, after as later, readLocal } from "../../src/calendar.js";
import { csv } from "../../src/desk/sheet/csv.js";
import { book } from "../kit/hire.js";

const head = "reference,van,van type,pick-up,return,surname,first name,phone,others";
const good =
  'R-1,SX26 ABC,wren,2026-06-03 15:00,2026-06-10 10:00,Stone,Ann,07700 900500,"Ben, Cal"';
const stone: Content = {
  van: { registration: "SX26 ABC", type: "wren" },
  pickupAt: readLocal("2026-06-03T15:00", "Europe/London"),
  returnAt: readLocal("2026-06-10T10:00", "Europe/London"),
  ...{ zone: "Europe/London", region: "gb", lang: "en", surname: "Stone", status: "booked" },
  people: [{ name: "Ann", phone: "07700 900500" }, { name: "Ben" }, { name: "Cal" }],
};
const read = (...lines: string[]) => readHires(lines.join("\n"), book);
const said = (...lines: string[]) =>
  read(...lines).problems.map((p) => `${p.line} ${p.column}: ${p.wrong}; ${p.right}`);

describe("a table file", () => {
  it("of one good line is one hire", () => {
    expect(read(head, good)).toEqual({
      lines: [{ line: 2, reference: "R-1", content: stone }],
      problems: [],
    });
  });
  it("reads the same with a byte order mark, semicolons or tabs, other line ends, empty lines, and names as people write them", () => {
    const wanted = read(head, good).lines[0]?.content;
    const semi = good.replace('"Ben, Cal"', "Ben| Cal").replaceAll(",", ";").replace("|", ",");
    for (const text of [
      `\ufeff${head}\r\n${good}\r\n`,
      `${head.replaceAll(",", ";")}\r\n${semi}\r\n`,
      `${head.replaceAll(",", "\t")}\n${semi.replaceAll(";", "\t")}`,
      `${head}\r${good}\r`,
      `${head}\n\n${good}\n\n`,
      `REFERENCE,Van,VAN_TYPE,Pick up,Return,Surname,First Name,Phone,Others\n${good}`,
    ]) {
      const { lines, problems } = readHires(text, book);
      expect([problems, lines[0]?.content], text).toEqual([[], wanted]);
    }
  });
  it("counts its lines as an editor does, also after a cell of several lines", () => {
    const long = good.replace("Stone", '"St\none"').replace("R-1", "R-2");
    expect(said(head, long, good.replace("wren", "swan"))[0]).toMatch(/^4 van type/);
  });
  // [the lines, all that is said]
  const wrong: [string, string[], (string | RegExp)[]][] = [
    ["nothing", [""], [/^1 : no line with a hire; /]],
    ["only names", [head], [/^1 : no line with a hire; /]],
    [
      "a name too many",
      [`${head},colour`, good],
      [/^1 colour: there is no such column; these: reference, van, /],
    ],
    [
      "a name too few",
      [head.replace("surname,", ""), good],
      ["1 surname: this column is missing; of the booking"],
    ],
    ["a name twice", [`${head},van`, good], ["1 van: it stands there twice; once"]],
    [
      "an open quotation mark",
      [head, good.replace("Stone", '"Stone')],
      [/^\d : a quotation mark is not closed/],
    ],
    [
      "too many cells",
      [head, `${good},x`],
      ["2 : 10 cells where the first line names 9; one cell a column"],
    ],
    [
      "a van type",
      [head, good.replace("wren", "swan")],
      [/^2 van type: "swan" is no van type; one of curlew, plover, wren$/],
    ],
    [
      "a day first",
      [head, good.replace("2026-06-03 15:00", "03/06/2026 15:00")],
      [/^2 pick-up: "03\/06\/2026 15:00" is no local time; one such as "2026-06-03T10:00"/],
    ],
    [
      "a time that the clocks skip",
      [head, good.replace("2026-06-03 15:00", "2026-03-29 01:30")],
      [/^2 pick-up: 01:30 does not exist on 2026-03-29.*; ?/],
    ],
    [
      "a return before the pick-up",
      [head, good.replace("06-10", "06-01")],
      ["2 return: it is not after the pick-up; a later time"],
    ],
    [
      "a phone",
      [head, good.replace("07700 900500", "ask her")],
      ['2 phone: "ask her" cannot be read; digits such as 07700 900123'],
    ],
    [
      "no reference",
      [head, good.replace("R-1", "")],
      [/^2 reference: "" is no reference; 1 to 64/],
    ],
    [
      "a reference twice",
      [head, good, good],
      ['3 reference: "R-1" stands on line 2 already; one line a hire'],
    ],
    ["an empty surname", [head, good.replace("Stone", "")], [/^2 surname: it is empty; /]],
    [
      "everything in two lines",
      [head, good.replace("wren", "swan"), good.replace("R-1", "R-2").replace("Stone", "")],
      [/^2 van type/, /^3 surname/],
    ],
  ];
  it.each(wrong)(
    "with %s wrong says line, column, what, and what would be right",
    (_, lines, all) => {
      const found = said(...lines);
      expect(found).toHaveLength(all.length);
      for (const [i, one] of all.entries())
        if (typeof one === "string") expect(found[i]).toBe(one);
        else expect(found[i]).toMatch(one);
    },
  );
});

const name = fc
  .stringMatching(/^[\p{L}=+@'"; -]{1,20}$/u)
  .map((s) => s.trim().replace(/^'+/, "x"))
  .filter((s) => s !== "");
const minute = fc.integer({ min: 0, max: 500_000 });
const hires = fc.array(
  fc.record({
    surname: name,
    first: name,
    others: fc.array(name, { maxLength: 3 }),
    from: minute,
    long: fc.integer({ min: 60, max: 60_000 }),
    plus: fc.boolean(),
  }),
  { minLength: 1, maxLength: 8 },
);

describe("what is written", () => {
  it("reads back as the same hires, whatever stands in the names, and holds no formula", () => {
    const start = instantOf(Date.UTC(2026, 4, 1));
    fc.assert(
      fc.property(hires, (all) => {
        const list = all.map((h, i) => ({
          reference: `R-${i}`,
          content: {
            ...stone,
            surname: h.surname,
            // May to September: no clock comes twice.
            pickupAt: later(start, h.from % 100_000),
            returnAt: later(start, (h.from % 100_000) + h.long),
            people: [
              { name: h.first, ...(h.plus ? { phone: "+44 7700 900500" } : {}) },
              ...h.others.map((n) => ({ name: n })),
            ],
          } satisfies Content,
        }));
        const text = `\ufeff${csv(hireRows(list))}`;
        expect(readHires(text, book)).toEqual({
          problems: [],
          lines: list.map((h, i) => ({ ...h, line: i + 2 })),
        });
        // Any other reader of such files: no cell begins with what a table program reckons.
        const cells = (parse(text, { bom: true }) as string[][]).slice(1).flat();
        expect(cells.filter((c) => /^[=+\-@]/.test(c))).toEqual([]);
      }),
      { numRuns: 100 },
    );
  }, 60_000);
});
