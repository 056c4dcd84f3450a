/** The board of the day, against days worked out by hand. Local times; the firm is in Europe/London unless said. */
import { describe, expect, it } from "vitest";
import { readLocal } from "../../src/calendar.js";
import type { NotBack } from "../../src/vans/blocks.js";
import { type Changeover, type HireOnBoard, today } from "../../src/vans/today.js";
import { newVan, type Van } from "../../src/vans/van.js";

const zone = "Europe/London";
const at = (local: string, where = zone) => readLocal(local, where);
const done = (local: string, by = "morag") => ({ at: at(local), by });

type Short = { id: string; van?: string; from: string; to: string } & Partial<
  Pick<HireOnBoard, "vanSince" | "back" | "says"> & { out: string }
>;
const hire = ({ id, van = "ONE", from, to, out, ...more }: Short): HireOnBoard => ({
  ...{ id, surname: id, registration: van, type: "wren" },
  ...{ pickupAt: at(from), returnAt: at(to), ...more },
  ...(out ? { pickup: { ...done(out), registration: van } } : {}),
});
const van = (more: Partial<Van> = {}): Van => ({ ...newVan("ONE", "wren"), ...more });
const mark = (step: "back" | "cleaned" | "filled" | "checked", after: string, local: string) => ({
  ...{ step, after },
  ...done(local, "callum"),
});

/** "ONE A>B back.cleaned,filled,checked,out now=cleaned late=30 left=90 hits": done steps before the dot, open ones after. */
function say(c: Changeover): string {
  const steps = (is: boolean) =>
    c.steps
      .filter((s) => (s.done !== undefined) === is)
      .map((s) => s.step)
      .join(",");
  return [
    c.registration,
    `${c.before?.hire ?? "-"}>${c.next?.hire ?? "-"}`,
    `${steps(true)}.${steps(false)}`,
    c.now && `now=${c.now}`,
    c.lateMin && `late=${c.lateMin}`,
    c.leftMin !== undefined && `left=${c.leftMin}`,
    c.hits && "hits",
  ]
    .filter(Boolean)
    .join(" ");
}
const board = (
  hires: readonly HireOnBoard[],
  now: string,
  care: readonly Van[] = [],
  where = zone,
): string[] =>
  today(hires, new Map(care.map((v) => [v.registration, v])), new Map(), at(now, where), where).map(
    say,
  );

// A has the van until Wednesday 3 June 10:00, B from 15:00.
const a = { id: "A", from: "2026-05-27T15:00", to: "2026-06-03T10:00", out: "2026-05-27T15:10" };
const b = { id: "B", from: "2026-06-03T15:00", to: "2026-06-10T10:00" };

describe("a van that is said to come late", () => {
  it("hits the next hirers from then on, not from now", () => {
    const says = (local: string) => ({ ...a, says: { at: at(local) } });
    const hits = (first: Short) => board([hire(first), hire(b)], "2026-06-03T08:00")[0] ?? "";
    expect(hits(a)).not.toContain("hits");
    expect(hits(says("2026-06-03T11:00"))).not.toContain("hits");
    expect(hits(says("2026-06-03T13:00"))).toContain("hits");
  });
});

describe("a day of one change", () => {
  const back = done("2026-06-03T09:50");
  const marks = [
    mark("cleaned", "A", "2026-06-03T11:20"),
    mark("filled", "A", "2026-06-03T11:40"),
    mark("checked", "A", "2026-06-03T12:00"),
  ];
  // [now, return record, marks, B's pick-up record, the line]
  const day: [string, boolean, number, string | undefined, string[]][] = [
    ["2026-06-02T18:00", false, 0, undefined, []],
    [
      "2026-06-03T07:00",
      false,
      0,
      undefined,
      ["ONE A>B .back,cleaned,filled,checked,out now=back left=480"],
    ],
    // 180 minutes of work fit exactly into 12:00 to 15:00.
    [
      "2026-06-03T10:30",
      false,
      0,
      undefined,
      ["ONE A>B .back,cleaned,filled,checked,out now=back late=30 left=270"],
    ],
    [
      "2026-06-03T12:00",
      false,
      0,
      undefined,
      ["ONE A>B .back,cleaned,filled,checked,out now=back late=120 left=180"],
    ],
    [
      "2026-06-03T12:01",
      false,
      0,
      undefined,
      ["ONE A>B .back,cleaned,filled,checked,out now=back late=121 left=179 hits"],
    ],
    [
      "2026-06-03T10:00",
      true,
      0,
      undefined,
      ["ONE A>B back.cleaned,filled,checked,out now=cleaned left=300"],
    ],
    [
      "2026-06-03T11:30",
      true,
      1,
      undefined,
      ["ONE A>B back,cleaned.filled,checked,out now=filled left=210"],
    ],
    [
      "2026-06-03T12:30",
      true,
      3,
      undefined,
      ["ONE A>B back,cleaned,filled,checked.out now=out left=150"],
    ],
    // The time has come and nobody fetched it.
    [
      "2026-06-03T15:20",
      true,
      3,
      undefined,
      ["ONE A>B back,cleaned,filled,checked.out now=out left=-20 hits"],
    ],
    ["2026-06-03T16:00", true, 3, "2026-06-03T15:25", ["ONE A>B back,cleaned,filled,checked,out."]],
    // Next day the board knows nothing of it any more.
    ["2026-06-04T08:00", true, 3, "2026-06-03T15:25", []],
  ];
  it.each(day)("%s (record %s, %i marks, out %s)", (now, isBack, count, out, lines) => {
    const hires = [
      hire({ ...a, ...(isBack ? { back } : {}) }),
      hire({ ...b, ...(out ? { out } : {}) }),
    ];
    expect(board(hires, now, [van({ ready: marks.slice(0, count) })])).toEqual(lines);
  });
  it("names who did each step and when", () => {
    const [line] = today(
      [hire({ ...a, back })],
      new Map([["ONE", van({ ready: marks })]]),
      new Map(),
      at("2026-06-03T12:30"),
      zone,
    );
    expect(line?.steps).toEqual([
      { step: "back", done: { at: at("2026-06-03T09:50"), by: "morag" } },
      { step: "cleaned", done: { at: at("2026-06-03T11:20"), by: "callum" } },
      { step: "filled", done: { at: at("2026-06-03T11:40"), by: "callum" } },
      { step: "checked", done: { at: at("2026-06-03T12:00"), by: "callum" } },
    ]);
  });
  it("who marked a step first has done it", () => {
    const twice = [mark("cleaned", "A", "2026-06-03T11:00"), { ...marks[0], by: "isla" } as never];
    const [line] = today(
      [hire({ ...a, back })],
      new Map([["ONE", van({ ready: twice })]]),
      new Map(),
      at("2026-06-03T12:30"),
      zone,
    );
    expect(line?.steps[1]?.done).toEqual({ at: at("2026-06-03T11:00"), by: "callum" });
  });
});

describe("two hires of one van on a day", () => {
  // A back 10:00, B out 12:00 and back 19:00, C out at 21:00.
  const hires = (back?: { at: ReturnType<typeof at>; by: string }) => [
    hire({ ...a, back: done("2026-06-03T10:00") }),
    hire({
      id: "B",
      from: "2026-06-03T12:00",
      to: "2026-06-03T19:00",
      out: "2026-06-03T12:05",
      ...(back ? { back } : {}),
    }),
    hire({ id: "C", from: "2026-06-03T21:00", to: "2026-06-05T10:00" }),
  ];
  const ready = [mark("cleaned", "A", "2026-06-03T11:00")];
  it("has a line for each change, and what was done for the first says nothing of the second", () => {
    expect(board(hires(), "2026-06-03T18:00", [van({ ready })])).toEqual([
      // Two hours from 19:00 on are too little for three hours of work.
      "ONE B>C .back,cleaned,filled,checked,out now=back left=180 hits",
      "ONE A>B back,cleaned,out.filled,checked",
    ]);
    expect(board(hires(done("2026-06-03T19:10")), "2026-06-03T19:30", [van({ ready })])[0]).toBe(
      "ONE B>C back.cleaned,filled,checked,out now=cleaned left=90 hits",
    );
  });
});

it("what was done for a hire that went out late says nothing of the van after it", () => {
  // B was to go out at 12:00; the van was only checked at 12:30, and B is due back at 19:00.
  const hires = [
    hire({ ...a, back: done("2026-06-03T10:00") }),
    hire({ id: "B", from: "2026-06-03T12:00", to: "2026-06-03T19:00", out: "2026-06-03T12:45" }),
  ];
  const ready = [mark("checked", "A", "2026-06-03T12:30")];
  expect(board(hires, "2026-06-03T19:30", [van({ ready })])[0]).toBe(
    "ONE B>- .back,cleaned,filled,checked now=back late=30",
  );
});

describe("late", () => {
  it("a van that is days late stays on the board until its return record is there", () => {
    expect(board([hire(a)], "2026-06-05T10:00")).toEqual([
      "ONE A>- .back,cleaned,filled,checked now=back late=2880",
    ]);
  });
  it("a van booked twice at once hits the second hire", () => {
    const twice = [hire(a), hire({ id: "B", from: "2026-06-02T15:00", to: "2026-06-06T10:00" })];
    expect(board(twice, "2026-06-02T14:00")).toEqual([
      "ONE A>B .back,cleaned,filled,checked,out now=back left=60 hits",
    ]);
  });
  it("a van that is due after the next pick-up hits the next hirers all day", () => {
    const extended = hire({ ...a, to: "2026-06-03T17:00" });
    for (const now of ["2026-06-03T08:00", "2026-06-03T11:59", "2026-06-03T12:01"])
      expect(board([extended, hire(b)], now)[0]).toContain("hits");
  });
  it("the one whose next hirer waits comes first", () => {
    const lines = board(
      [
        hire({ ...a, van: "TWO" }),
        hire({ ...b, id: "D", van: "TWO", from: "2026-06-03T18:00" }),
        hire(a),
        hire({ ...b, from: "2026-06-03T11:30" }),
        hire({ ...a, id: "E", van: "SIX", to: "2026-06-03T08:00" }),
      ],
      "2026-06-03T10:30",
    );
    expect(lines.map((l) => l.split(" ")[0])).toEqual(["ONE", "TWO", "SIX"]);
  });
});

describe("vans that stand", () => {
  const back = done("2026-06-01T10:00");
  it("one without a next hire is owed its steps for as long as they are open", () => {
    expect(board([hire({ ...a, back })], "2026-06-20T10:00")).toEqual([
      "ONE A>- back.cleaned,filled,checked now=cleaned",
    ]);
  });
  it("one that is ready for a hire of another day is not on the board", () => {
    const ready = (["cleaned", "filled", "checked"] as const).map((s) =>
      mark(s, "A", "2026-06-01T12:00"),
    );
    const later = hire({ id: "B", from: "2026-06-09T15:00", to: "2026-06-12T10:00" });
    expect(board([hire({ ...a, back }), later], "2026-06-03T10:00", [van({ ready })])).toEqual([]);
    expect(board([hire({ ...a, back }), later], "2026-06-09T10:00", [van({ ready })])).toEqual([
      "ONE A>B back,cleaned,filled,checked.out now=out left=300",
    ]);
  });
  it("a van's first hire has nothing to come back from", () => {
    expect(
      board([hire(b)], "2026-06-03T10:00", [
        van({ ready: [mark("cleaned", "", "2026-06-02T10:00")] }),
      ]),
    ).toEqual(["ONE ->B cleaned.filled,checked,out now=filled left=300"]);
  });
  it("a pick-up without a record leaves the board after a day", () => {
    expect(board([hire(b)], "2026-06-04T14:59")).toHaveLength(1);
    expect(board([hire(b)], "2026-06-04T15:00")).toEqual([]);
  });
});

describe("a van swapped on the road", () => {
  // A gives ONE up for TWO on 30 May at 12:00; ONE was ready for A, and B has it from 3 June.
  const givenUp = { hire: "A", surname: "A", from: at(a.from), at: at("2026-05-30T12:00") };
  const before = mark("cleaned", "Z", "2026-05-26T12:00");
  const hires = [
    hire({
      id: "Z",
      from: "2026-05-20T15:00",
      to: "2026-05-26T10:00",
      back: done("2026-05-26T10:00"),
    }),
    {
      ...hire({ ...a, van: "TWO", vanSince: at("2026-05-30T12:00") }),
      pickup: { ...done(a.out), registration: "ONE" },
    },
    hire(b),
  ];
  it("is to be fetched and made ready anew, and its return is marked by hand", () => {
    expect(board(hires, "2026-06-01T10:00", [van({ givenUp, ready: [before] })])).toEqual([
      "ONE A>B .back,cleaned,filled,checked,out now=back late=2760 left=3180",
    ]);
    const ready = [before, mark("back", "A", "2026-05-31T09:00")];
    expect(board(hires, "2026-06-01T10:00", [van({ givenUp, ready })])).toEqual([
      "ONE A>B back.cleaned,filled,checked,out now=cleaned left=3180",
    ]);
  });
  it("the van that was swapped in is out, though its pick-up record is of the other", () => {
    expect(board(hires, "2026-05-30T18:00", [van({ givenUp })])).toEqual(
      [
        "TWO ->A out.cleaned,filled,checked",
        "ONE A>B .back,cleaned,filled,checked,out now=back late=360 left=5580",
      ].reverse(),
    );
    expect(board(hires, "2026-06-03T11:00", [van({ givenUp })])[1]).toBe(
      "TWO A>- .back,cleaned,filled,checked now=back late=60",
    );
  });
  it("a van that the same hire takes back is to be made ready once more after it", () => {
    // A: ONE → TWO on 30 May → ONE again on 1 June; its marks of in between do not count after the return.
    const ready = [mark("back", "A", "2026-05-30T14:00"), mark("cleaned", "A", "2026-05-31T10:00")];
    const again = hire({ ...a, vanSince: at("2026-06-01T12:00"), back: done("2026-06-03T09:30") });
    expect(board([again, hire(b)], "2026-06-03T10:00", [van({ givenUp, ready })])).toEqual([
      "ONE A>B back.cleaned,filled,checked,out now=cleaned left=300",
    ]);
  });
});

describe("the day on which the clocks change", () => {
  it("counts the minutes that pass, not those on the wall", () => {
    // 25 October 2026: 02:00 becomes 01:00; from 00:30 to 08:00 are 8½ hours.
    const autumn = hire({ id: "B", from: "2026-10-25T08:00", to: "2026-10-28T10:00" });
    expect(board([autumn], "2026-10-25T00:30")).toEqual([
      "ONE ->B .cleaned,filled,checked,out now=cleaned left=510",
    ]);
    // 29 March 2026: 01:00 becomes 02:00; from 00:30 to 08:00 are 6½ hours.
    const spring = hire({ id: "B", from: "2026-03-29T08:00", to: "2026-04-01T10:00" });
    expect(board([spring], "2026-03-29T00:30")).toEqual([
      "ONE ->B .cleaned,filled,checked,out now=cleaned left=390",
    ]);
  });
  it("ends the day at the firm's midnight", () => {
    const late = hire({ id: "B", from: "2026-10-25T23:30", to: "2026-10-28T10:00" });
    const next = hire({ id: "C", van: "TWO", from: "2026-10-26T00:00", to: "2026-10-28T10:00" });
    expect(board([late, next], "2026-10-25T00:30").map((l) => l.slice(0, 8))).toEqual(["ONE ->B "]);
  });
});

it("what blocks the van stands on its line, until the van is out", () => {
  const missing = new Map<string, NotBack[]>([["ONE", [{ hire: "A", surname: "A" }]]]);
  const care = new Map([
    [
      "ONE",
      van({
        faults: [{ n: 1, matter: "x", title: "step bent", severity: "stop", reports: [] }],
      }),
    ],
  ]);
  const keys = (hires: HireOnBoard[]) =>
    today(hires, care, missing, at("2026-06-03T16:00"), zone)[0]?.blocks.map((x) => x.key);
  expect(keys([hire(a), hire(b)])).toEqual(["fault:1", "return:A"]);
  expect(keys([hire(a), hire({ ...b, out: "2026-06-03T15:30" })])).toEqual([]);
});
