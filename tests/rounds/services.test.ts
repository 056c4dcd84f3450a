/** Two whole services on one PostgreSQL database, as behind a load balancer: what one does, pages of the other show. */

import { sql } from "kysely";
import request from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { deskPassword, openWebHouse, type WebHouse } from "../kit/web-house.js";

const server = await openServer();

describe.skipIf(!server)("two services on one database", () => {
  let one: WebHouse;
  let two: WebHouse;
  let hirer = "";
  let desk = "";
  const cookieOf = (answer: request.Response) =>
    String(answer.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
  beforeAll(async () => {
    const databaseUrl = (await server?.database()) ?? "";
    one = await openWebHouse("curlew", ["Ann"], { databaseUrl, hire: "h1" });
    two = await openWebHouse("wren", ["Ben"], { databaseUrl, hire: "h2" });
    // The link was made by one and is opened at two; the desk is entered at two and used at one.
    hirer = cookieOf(await request(two.url).post(new URL(one.links[0] ?? "").pathname));
    desk = cookieOf(
      await request(two.url)
        .post("/desk/enter")
        .type("form")
        .send({ contact: "morag", password: deskPassword }),
    );
  }, 60_000);
  afterAll(async () => {
    await one?.close();
    await two?.close();
    await server?.close();
  });

  /** Opens a stream; `until` reads on to the first part that fits, `closed` to the end. */
  async function stream(url: string, cookie: string) {
    const stop = new AbortController();
    const answer = await fetch(url, { headers: { cookie }, signal: stop.signal });
    expect(answer.status).toBe(200);
    const reader = answer.body?.getReader();
    let text = "";
    return {
      async until(fits: RegExp) {
        while (!fits.test(text)) {
          const part = await reader?.read();
          if (!part || part.done) throw new Error(`ended without it: ${text.slice(0, 500)}`);
          text += new TextDecoder().decode(part.value);
        }
        text = "";
      },
      async closed() {
        while (reader && !(await reader.read()).done);
      },
      stop: () => stop.abort(),
    };
  }

  it("show a hirer at one what was asked and answered at the other", {
    timeout: 20_000,
  }, async () => {
    const page = await stream(`${two.url}/chat/stream?since=0`, hirer);
    await page.until(/"n":0/);
    const said = await request(one.url)
      .post("/chat/say")
      .set("Cookie", hirer)
      .set("Accept", "application/json")
      .send({ id: "from-the-page-1", text: "how do I turn the gas on" });
    expect(said.status).toBeLessThan(300);
    await page.until(/"mine":false/);
    page.stop();
  });

  it("show the desk at one what happens at the other, with one sign-in", {
    timeout: 20_000,
  }, async () => {
    expect(
      (await request(one.url).get("/desk").set("Cookie", desk).set("Accept", "text/html")).text,
    ).toContain("What waits");
    const page = await stream(`${two.url}/desk/stream`, desk);
    await page.until(/open/);
    await request(one.url)
      .post("/chat/say")
      .set("Cookie", hirer)
      .set("Accept", "application/json")
      .send({ id: "from-the-page-2", text: "red oil can light came on" });
    await page.until(/more/);
    for (let n = 0; n < 250; n++) {
      const seen = await request(two.url).get("/desk/part").set("Cookie", desk);
      if (seen.text.includes("must not move")) break;
      expect(n).toBeLessThan(249);
      await new Promise((done) => setTimeout(done, 20));
    }
    page.stop();
  });

  it("end their pages, which come back by themselves, when word between them may have been missed", {
    timeout: 20_000,
  }, async () => {
    const page = await stream(`${two.url}/chat/stream?since=0`, hirer);
    await page.until(/"n":0/);
    const broken = await sql<{ pid: number }>`
      select pg_terminate_backend(pid) from pg_stat_activity
      where datname = current_database() and application_name = 'passing-place listening'`.execute(
      one.house.db,
    );
    expect(broken.rows.length).toBe(2);
    await page.closed();
    const again = await stream(`${two.url}/chat/stream?since=0`, hirer);
    await again.until(/"mine":false/);
    await request(one.url)
      .post("/chat/say")
      .set("Cookie", hirer)
      .set("Accept", "application/json")
      .send({ id: "from-the-page-3", text: "thank you" });
    await again.until(/thank you/);
    again.stop();
  });
});
