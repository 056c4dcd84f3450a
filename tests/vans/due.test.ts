/** When service falls due, by date and by distance. */
import { describe, expect, it } from "vitest";
import { serviceDue } from "../../src/vans/due.js";

describe("a service", () => {
  const today = "2026-03-20";
  it.each([
    [{ dueOn: "2026-03-19" }, undefined, { state: "over", days: -1 }],
    [{ dueOn: "2026-03-20" }, undefined, { state: "near", days: 0 }],
    [{ dueOn: "2026-04-03" }, undefined, { state: "near", days: 14 }],
    // The clocks change on 29 March 2026 in the UK: a day more is a day more.
    [{ dueOn: "2026-04-04" }, undefined, { state: "later", days: 15 }],
    [{ dueKm: 60_000 }, 60_000, { state: "over", km: 0 }],
    [{ dueKm: 60_000 }, 59_000, { state: "near", km: 1000 }],
    [{ dueKm: 60_000 }, 58_999, { state: "later", km: 1001 }],
    [{ dueKm: 60_000 }, undefined, { state: "later" }],
    [{ dueOn: "2027-01-01", dueKm: 60_000 }, 61_000, { state: "over", days: 287, km: -1000 }],
    [{}, 61_000, { state: "open" }],
  ] as const)("%o at odometer %s is %o", (service, odometer, due) => {
    expect(serviceDue(service, today, odometer)).toEqual(due);
  });
});
