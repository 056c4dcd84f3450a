/** Answers to the staff hook: what is let in, what it becomes, and what is answered. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { after as later } from "../../../src/calendar.js";
import { notDelivered } from "../../../src/store/sends.js";
import { openProvider, type Provider, postSigned } from "../../kit/provider.js";
import { openProviderHouse, type ProviderHouse } from "../../kit/provider-house.js";
import { noon, said } from "../../kit/small-house.js";

const path = "/hook/answers";

describe("an answer to the staff hook", () => {
  let provider: Provider;
  let on: ProviderHouse;
  /** Of an alert that Callum has had: there is no Telegram here, so the small step's alert goes on to the hook. */
  let taken: { type: string; id: string; contact: string; did: string };
  let before: number;
  beforeEach(async () => {
    provider = await openProvider();
    on = await openProviderHouse(provider.url);
    await on.house.file(said("danger", 1));
    await on.house.runUntilIdle();
    const [alert] = provider.taken();
    expect(alert).toMatchObject({ hire: "h1", callout: 1, keys: [{ key: 1, label: "I take it" }] });
    taken = { type: "answer", id: String(alert?.["id"]), contact: "callum", did: "take" };
    before = (await on.filed()).length;
  });
  afterEach(async () => {
    await on.close();
    await provider.close();
  });
  const post = (body: unknown, more: Record<string, string> = {}, now: number = noon) =>
    postSigned(on.app, path, body, more, now);
  const filed = async () => (await on.filed()).slice(before);

  it("takes a matter as the desk does, once however often it comes", async () => {
    for (let n = 0; n < 3; n++) await post(taken).expect(200, { ok: true });
    expect(await filed()).toEqual([
      {
        key: `hook:${taken.id}:take`,
        lane: "hire:h1",
        receivedAt: noon,
        body: { kind: "desk", by: "callum", act: { do: "take", callout: 1 } },
      },
    ]);
  });

  it("may name the key that was pressed", async () => {
    await post({ ...taken, did: "press", key: 1 }).expect(200);
    const [arrival] = await filed();
    expect(arrival?.body).toMatchObject({ by: "callum", act: { do: "take", callout: 1 } });
    const got = await post({ ...taken, did: "press", key: 2 }).expect(409);
    expect(got.body.error).toMatch(/^key/);
  });

  it("may say that somebody has only heard of it, which takes nothing", async () => {
    await post({ ...taken, did: "read" }).expect(200);
    const [arrival] = await filed();
    expect(arrival?.body).toEqual({ kind: "desk", by: "callum", act: { do: "read", callout: 1 } });
  });

  it("says that nobody answered: the alert is not delivered, its lane hears of it once, and the desk shows it", async () => {
    const failed = { ...taken, did: "failed", why: "no-answer" };
    await post(failed).expect(200);
    await post(failed).expect(200);
    await on.house.runUntilIdle();
    const lost = (await notDelivered(on.house.db)).filter((row) => row.send.to.channel === "hook");
    expect(lost.map((row) => row.error)).toEqual(["refused: nobody answered"]);
    expect((await filed()).map((a) => a.body)).toMatchObject([
      { kind: "undelivered", to: { channel: "hook", to: "callum" } },
    ]);
  });

  it("is refused unsigned, wrongly signed, too old or from the future, and nothing is stored", async () => {
    const wrongs: [Record<string, string>, number][] = [
      [{ "webhook-signature": "" }, noon],
      [{ "webhook-signature": "v1,AAAA" }, noon],
      [{ "webhook-timestamp": "x" }, noon],
      [{ "webhook-id": "a.b" }, noon],
      [{}, later(noon, -6)],
      [{}, later(noon, 6)],
    ];
    for (const [more, now] of wrongs) {
      const got = await post(taken, more, now).expect(401);
      expect(got.body.error).toMatch(/^webhook-/);
    }
    expect(await filed()).toEqual([]);
    await post(taken, {}, later(noon, -5)).expect(200);
    expect(await filed()).toHaveLength(1);
  });

  it("cannot be sent again later by somebody who saw it", async () => {
    const seconds = String(noon / 1000);
    const seen = { "webhook-id": "seen", "webhook-timestamp": seconds };
    await post(taken, seen).expect(200);
    on.clock.move(6);
    const got = await post(taken, seen).expect(401);
    expect(got.body.error).toBe("webhook-timestamp is more than 5 minutes from our clock");
  });

  it("is refused where it cannot be read or names what is not there, and says what would be right", async () => {
    const wrongs: [unknown, number, RegExp][] = [
      ["{", 400, /no JSON/],
      ["[]", 400, /is needed/],
      [{}, 400, /type/],
      [{ ...taken, did: "shout" }, 400, /did/],
      [{ ...taken, key: 1.5 }, 400, /key/],
      [{ ...taken, type: "alert" }, 400, /type/],
      [{ ...taken, why: "because" }, 400, /why/],
      [{ ...taken, id: "pp_unknown" }, 404, /^id: no alert to this contact/],
      [{ ...taken, contact: "isla" }, 404, /^id: no alert to this contact/],
      [{ ...taken, contact: "__proto__" }, 404, /^id/],
    ];
    for (const [body, status, words] of wrongs) {
      const got = await post(body);
      expect([got.status, got.body.error], JSON.stringify(body)).toEqual([
        status,
        expect.stringMatching(words),
      ]);
    }
    await post("x".repeat(20_000)).expect(413);
    await post(taken, { "content-encoding": "gzip" }).expect(415);
    expect(await filed()).toEqual([]);
  });

  it("is answered 503 where it cannot be stored, so that it comes again, and no words of the store get out", async () => {
    on.breakStore();
    const got = await post(taken).expect(503);
    expect(got.headers["retry-after"]).toBe("1");
    expect(got.text + on.lines.join()).not.toContain("MARKED");
  });

  it("that we sent ourselves does not count as one", async () => {
    const [sent] = provider.posted;
    const h = sent?.headers ?? {};
    await post(sent?.raw ?? "", {
      "webhook-id": String(h["webhook-id"]),
      "webhook-timestamp": String(h["webhook-timestamp"]),
      "webhook-signature": String(h["webhook-signature"]),
    }).expect(400);
  });
});
