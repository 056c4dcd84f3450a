/** What a web request says, and what an error of reading it says of itself. */
import type { IncomingMessage } from "node:http";
import { expect, it } from "vitest";
import { Fault } from "../src/faults.js";
import { bearerIn, cookieIn, sameSecret, statusOf } from "../src/web-requests.js";

const request = (headers: Record<string, string>) => ({ headers }) as unknown as IncomingMessage;

it("an error of a body reader bears a status of 400 to 499, and any other is ours", () => {
  const told = (status: unknown) => statusOf(Object.assign(new Error("x"), { status }));
  expect([413, "415", 400, 499].map(told)).toEqual([413, 415, 400, 499]);
  for (const status of [399, 500, 413.5, "many", undefined]) expect(told(status)).toBeUndefined();
  for (const error of [new Fault("STORE_WRONG", "x"), "413", null, { status: 413 }])
    expect(statusOf(error)).toBeUndefined();
});

it("a cookie is found by its whole name", () => {
  const of = (cookie: string) => cookieIn(request({ cookie }), "van");
  expect(of("caravan=1; van=a=b;other=2")).toBe("a=b");
  expect(of("vans=1")).toBeUndefined();
  expect(cookieIn(request({}), "van")).toBeUndefined();
});

it("a token is what follows Bearer", () => {
  const of = (authorization: string) => bearerIn(request({ authorization }));
  expect(of("bearer  pp_1")).toBe("pp_1");
  for (const other of ["Basic pp_1", "Bearer", "Bearer a b"]) expect(of(other)).toBeUndefined();
});

it("a secret is the same word and nothing else", () => {
  expect(sameSecret("word", "word")).toBe(true);
  for (const other of ["Word", "word ", "", undefined, ["word"]])
    expect(sameSecret(other, "word")).toBe(false);
});
