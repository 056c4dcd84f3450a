/** Text messages out: the post, its parts, and what follows in the house from what the provider answers. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { gatewayDoor } from "../../../src/channels/gateway/send.js";
import { type House, openHouse } from "../../../src/house.js";
import { readBook } from "../../../src/knowledge/read.js";
import type { LaneId, Send } from "../../../src/post.js";
import type { StepFunction } from "../../../src/rounds/turns.js";
import { notDelivered } from "../../../src/store/sends.js";
import { openProvider, type Provider, providerSecret, signatureOf } from "../../kit/provider.js";
import { booking, houseParts, lane, said, scriptClock, smallStep } from "../../kit/small-house.js";

const { book } = readBook();
const ann = "+447700900500";
const send = (text: string, more: Partial<Send> = {}): Send => ({
  to: { channel: "gateway", to: ann },
  who: "hirer:Ann",
  person: "p1",
  message: { text },
  safety: false,
  ...more,
});

let provider: Provider;
beforeEach(async () => {
  provider = await openProvider();
});
afterEach(() => provider.close());
const door = (now = scriptClock().now) =>
  gatewayDoor({
    target: { url: provider.url, secret: providerSecret, allowInternal: true },
    now,
    book,
    publicUrl: "https://trips.example.org",
  });

describe("a text message out", () => {
  it("is one signed post with the whole text, its parts and the number", async () => {
    const message = { text: "Safe?", buttons: [{ tap: "a", label: "Yes" }] };
    await door().send(send("", { message, safety: true }), "k#1", lane());
    const [post] = provider.posted;
    const id = String(post?.headers["webhook-id"]);
    const text = "Safe?\nReply 1 for Yes.";
    expect(post?.body).toEqual({ type: "message", id, to: ann, text, parts: [text], safety: true });
    const seconds = String(post?.headers["webhook-timestamp"]);
    expect(post?.headers["webhook-signature"]).toBe(signatureOf(id, seconds, post?.raw ?? ""));
  });

  it("that is long has parts of at most 1,530 letters, cut at lines, none of it lost", async () => {
    const lines = Array.from({ length: 80 }, (_, i) => `${i} ${"word ".repeat(10)}end`);
    await door().send(send(lines.join("\n")), "k#1", lane());
    const parts = provider.posted[0]?.body["parts"] as string[];
    expect(parts.length).toBeGreaterThan(1);
    for (const part of parts) expect(part.length).toBeLessThanOrEqual(1_530);
    expect(parts.join("\n")).toBe(lines.join("\n"));
  });
});

describe("in the house", () => {
  let house: House;
  const clock = scriptClock();
  /** The small step's words to Ann, by text message. */
  const step: StepFunction = (state, arrival, facts) => {
    const made = smallStep(state, arrival, facts);
    const byText = (s: Send): Send =>
      s.to.to === "100" ? { ...s, to: { channel: "gateway", to: ann } } : s;
    return { ...made, sends: made.sends.map(byText) };
  };
  beforeEach(async () => {
    house = await openHouse({
      ...houseParts,
      step,
      book,
      clock,
      dbFile: ":memory:",
      doors: [door(clock.now)],
    });
    await house.makeHire(booking());
    await house.runUntilIdle();
  });
  afterEach(() => house.close());
  /** The small step alerts staff of what is lost; there is no channel to them here. */
  const lost = async () =>
    (await notDelivered(house.db)).filter((row) => row.send.to.channel === "gateway");
  const texts = () => provider.taken().map((body) => body["text"]);

  it("a safety message overtakes those that wait for another try", async () => {
    provider.faults.push(503);
    await house.file(said("say first", 1));
    await house.runUntilIdle();
    await house.file(said("danger", 2));
    await house.runUntilIdle();
    expect(texts()).toEqual(["Get out. 999."]);
    clock.move(1);
    await house.runUntilIdle();
    expect(texts()).toEqual(["Get out. 999.", "first"]);
  });

  it("the same message is posted again under the same id until it is taken, and once more only", async () => {
    provider.faults.push(500, 429, "reset");
    await house.file(said("say hello", 1));
    for (let i = 0; i < 4; i++) {
      await house.runUntilIdle();
      clock.move(1);
    }
    expect(provider.posted).toHaveLength(4);
    expect(new Set(provider.posted.map((p) => p.headers["webhook-id"])).size).toBe(1);
    expect(texts()).toEqual(["hello"]);
    expect(await lost()).toEqual([]);
  });

  it("what the provider refuses is not delivered, and the next goes on", async () => {
    provider.faults.push(400);
    await house.file(said("say refused", 1));
    await house.file(said("say next", 2));
    await house.runUntilIdle();
    expect(texts()).toEqual(["next"]);
    expect((await lost())[0]).toMatchObject({
      lane: "hire:h1" as LaneId,
      error: "refused: the provider answers 400",
    });
  });

  it("what nobody answers is tried as often as its weight allows, then not delivered", async () => {
    provider.faults.push(...Array(20).fill("reset"));
    await house.file(said("say hello", 1));
    for (let i = 0; i < 8; i++) {
      await house.runUntilIdle();
      clock.move(5);
    }
    expect(provider.posted).toHaveLength(2);
    expect((await lost()).map((l) => l.send.message.text)).toEqual(["hello"]);
  });
});
