/** How long a try to sign in waits, who may do what, and what is written down of a form: the pure parts of accounts. */
import { describe, expect, it } from "vitest";
import { after } from "../../src/calendar.js";
import { type Failures, waitBefore } from "../../src/desk/accounts/limits.js";
import { may, neededFor } from "../../src/desk/accounts/rights.js";
import { traceOf } from "../../src/desk/accounts/trace.js";
import { hashPassword, isWeaker, newPassword, passwordFits } from "../../src/desk/signin.js";
import { isHash } from "../../src/password.js";
import { noon } from "../kit/small-house.js";

const ago = (minutes: number, times = 1) =>
  Array.from({ length: times }, () => after(noon, -minutes));
const failures = (more: Partial<Failures>): Failures => ({
  ...{ pair: [], address: [], account: [], known: false },
  ...more,
});
const wait = (more: Partial<Failures>) => waitBefore(failures(more), noon) / 60_000;

describe("a try to sign in", () => {
  it("waits after five wrong ones, twice as long each time, a quarter of an hour at most", () => {
    expect([4, 5, 6, 7, 8, 9, 10, 30].map((n) => wait({ pair: ago(0, n) }))).toEqual([
      0, 0.5, 1, 2, 4, 8, 15, 15,
    ]);
    expect(wait({ pair: ago(0.25, 5) })).toBe(0.25);
    expect(wait({ pair: ago(16, 30) })).toBe(0);
  });
  it("waits where an address has tried 20 times in a quarter of an hour, for any account", () => {
    expect(wait({ address: ago(5, 19) })).toBe(0);
    expect(wait({ address: ago(5, 20) })).toBe(10);
    expect(wait({ address: ago(15, 20) })).toBe(0);
  });
  it("waits where an account was tried 50 times in an hour from anywhere", () => {
    expect(wait({ account: ago(20, 49) })).toBe(0);
    expect(wait({ account: ago(20, 50) })).toBe(40);
  });
  it("is not kept waiting by others where this person signed in from here before", () => {
    expect(wait({ known: true, address: ago(1, 500), account: ago(1, 500) })).toBe(0);
    expect(wait({ known: true, pair: ago(0, 5) })).toBe(0.5);
  });
});

describe("passwords", () => {
  it("are hashed by scrypt as a PHC string, each with a salt of its own", async () => {
    const [one, other] = [await hashPassword("a b c d"), await hashPassword("a b c d")];
    expect(one).toMatch(/^\$scrypt\$ln=14,r=8,p=5\$[A-Za-z0-9+/]{22}\$[A-Za-z0-9+/]{43}$/);
    expect(one).not.toBe(other);
    expect(await passwordFits("a b c d", one)).toBe(true);
    expect(await passwordFits("a b c e", one)).toBe(false);
    expect([isHash(one), isWeaker(one)]).toEqual([true, false]);
  });
  // RFC 7914, section 12, with N 16384, r 8, p 1: the first 32 of its 64 octets, as PBKDF2 gives them block by block.
  it("fit the test vector of RFC 7914, and what was hashed by the former way is told as weaker", async () => {
    const salt = Buffer.from("SodiumChloride");
    const hash = Buffer.from(
      "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2",
      "hex",
    );
    const bare = (bytes: Buffer) => bytes.toString("base64").replace(/=+$/, "");
    const phc = `$scrypt$ln=14,r=8,p=1$${bare(salt)}$${bare(hash)}`;
    expect(await passwordFits("pleaseletmein", phc)).toBe(true);
    expect(await passwordFits("pleaseletmeout", phc)).toBe(false);
    expect(isWeaker(phc)).toBe(true);
  });
  it("in malformed hashes fit nothing", async () => {
    for (const hash of [
      "",
      "plain",
      "scrypt:x:y",
      "$scrypt$ln=99,r=8,p=1$AAAAAAAAAAAAAAAAAAAAAA$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA",
    ])
      expect(await passwordFits("plain", hash)).toBe(false);
  });
  it("to hand over have no letter that is mistaken for another, and never come twice", () => {
    const made = new Set(Array.from({ length: 200 }, newPassword));
    expect(made.size).toBe(200);
    for (const one of made) expect(one).toMatch(/^([a-hj-kmnp-z2-9]{4}-){3}[a-hj-kmnp-z2-9]{4}$/);
  });
});

describe("what only a manager may do", () => {
  it("is the firm's rule; a manager may everything, and accounts are always a manager's", () => {
    const firm = { managerOnly: ["release" as const] };
    expect(may(firm, "manager", "release")).toBe(true);
    expect(may(firm, "duty", "release")).toBe(false);
    expect(may(firm, "duty", "erase")).toBe(true);
    expect(may(firm, "duty", "accounts")).toBe(false);
    expect(may({}, "duty", "erase")).toBe(false);
    expect(may({}, "duty", "roster")).toBe(true);
  });
  it.each([
    ["GET", "/desk/accounts", "", "accounts"],
    ["POST", "/desk/accounts", "end", "accounts"],
    ["GET", "/desk/trail.csv", "", "trail"],
    ["POST", "/desk/bookings/tokens/revoke", "", "tokens"],
    ["POST", "/desk/hires/:id/data/erase", "", "erase"],
    ["GET", "/desk/roster", "", undefined],
    ["POST", "/desk/roster/save", "", "roster"],
    ["POST", "/desk/vans/:registration", "release", "release"],
    ["POST", "/desk/vans/:registration", "report", undefined],
    ["POST", "/desk/wordings/keep", "", "wordings"],
    ["POST", "/desk/wordings/try", "", undefined],
    ["POST", "/desk/act", "take", undefined],
  ])("%s %s %s needs %s", (method, route, does, right) => {
    expect(neededFor(method, route, does)).toBe(right);
  });
});

describe("what is written down of a form", () => {
  it.each([
    ["/desk/act", {}, { do: "take", hire: "h1", callout: "2" }, "act take", "h1, call-out 2"],
    ["/desk/hires/:id/link", { id: "h1" }, { person: "p1" }, "hires link", "h1"],
    ["/desk/hires/new", {}, { surname: "Stone" }, "hires new", ""],
    ["/desk/hires/:id/data/erase", { id: "h1" }, { what: "talk" }, "hires data erase", "h1"],
    [
      "/desk/vans/:registration",
      { registration: "SX26 ABC" },
      { do: " release\t", why: "mended" },
      "vans release",
      "SX26 ABC",
    ],
    ["/desk/vans/:registration", { registration: "look" }, { do: "clear" }, "vans clear", "look"],
    [
      "/desk/accounts",
      {},
      { do: "make", contact: "callum", role: "duty" },
      "accounts make",
      "callum, duty",
    ],
    ["/desk/wordings/keep", {}, { ask: "words", entry: "jack" }, "wordings keep", "jack"],
    ["/desk/leave", {}, {}, "leave", ""],
    ["/desk/hires/:id/change", { id: "h1" }, { keep: "yes" }, "hires change", "h1"],
    ["/desk/roster/contacts/:id", { id: "callum" }, {}, "roster contacts", "callum"],
    ["/desk/bookings/hires.csv", {}, {}, "bookings hires.csv", ""],
    ["/desk/hires/:id/sheet.csv", { id: "h1" }, {}, "hires sheet.csv", "h1"],
  ])("%s of %o with %o is %s", (route, named, form, what, about) => {
    expect(traceOf(route, named, form)).toEqual({ what, about });
  });
  it("is nothing where a form only looks or keeps a draft", () => {
    for (const route of [
      "/desk/hires/:id/pickup/draft",
      "/desk/hires/:id/change",
      "/desk/roster/look",
      "/desk/wordings/try",
    ])
      expect(traceOf(route, {}, {}), route).toBeUndefined();
  });
  it("has no words of anybody in it, whatever the fields hold", () => {
    const long = "ring Ann, she said <b>no</b>";
    const form = { do: long, hire: long, callout: { a: 1 }, note: "x" };
    expect(traceOf("/desk/act", {}, form)).toEqual({ what: "act", about: "" });
    const named = { id: long };
    expect(traceOf("/desk/hires/:id/link", named, {})).toEqual({ what: "hires link", about: "" });
  });
});
