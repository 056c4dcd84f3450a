/** How much one person may send a minute, and that a danger is never held back. */
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { mostPerMinute, openCalm } from "../../../src/channels/webchat/calm.js";
import { scriptClock } from "../../kit/small-house.js";
import { openWebHouse, type WebHouse } from "../../kit/web-house.js";

describe("what one person sends", () => {
  it("is counted by person and kind, within each minute", () => {
    const clock = scriptClock();
    const tooMuch = openCalm(clock.now);
    const times = (person: string, n: number) =>
      Array.from({ length: n }, () => tooMuch(person, "words")).filter(Boolean).length;
    expect(times("ann", mostPerMinute.words)).toBe(0);
    expect(times("ann", 3)).toBe(3);
    expect(times("ben", 1)).toBe(0);
    expect(tooMuch("ann", "photos")).toBe(false);
    clock.move(1);
    expect(times("ann", 1)).toBe(0);
  });
});

describe("a flood from one page", () => {
  const clock = scriptClock();
  let service: WebHouse;
  beforeAll(async () => {
    service = await openWebHouse("curlew", ["Ann"], { clock });
  }, 60_000);
  afterAll(() => service?.close());

  it("is asked to come later, never with words that may tell of a danger, and goes on in the next minute", {
    timeout: 60_000,
  }, async () => {
    const agent = request.agent(service.url);
    await agent.post(new URL(service.links[0] ?? "").pathname);
    const say = async (text: string) => (await agent.post("/chat/say").send({ text })).status;
    for (let n = 0; n < mostPerMinute.words; n++) expect(await say(`message ${n}`)).toBe(200);
    const later = await agent.post("/chat/say").send({ text: "one more" });
    expect([later.status, later.headers["retry-after"]]).toEqual([429, "60"]);
    expect(await say("there is smoke in the van")).toBe(200);
    expect(await say("I smell gas")).toBe(200);
    expect(await say("and one more")).toBe(429);
    clock.move(1);
    expect(await say("and now")).toBe(200);
  });
});
