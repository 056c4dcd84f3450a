/** The staff hook out, against a provider on loopback that fails on demand. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { instantOf } from "../../../src/calendar.js";
import type { Resolve } from "../../../src/channels/guard.js";
import { hookDoor } from "../../../src/channels/hook/send.js";
import { readBook } from "../../../src/knowledge/read.js";
import type { FirmFile } from "../../../src/knowledge/schema.js";
import { openLog } from "../../../src/log.js";
import type { LaneId, Send } from "../../../src/post.js";
import {
  openProvider,
  type Provider,
  type ProviderFault,
  providerSecret,
  signatureOf,
} from "../../kit/provider.js";

const { book } = readBook();
const lane = "hire:h1" as LaneId;
const at = instantOf(Date.UTC(2026, 5, 5, 20, 5));
const alert: Send = {
  to: { channel: "hook", to: "isla" },
  who: "hook",
  contact: "isla",
  message: {
    text: 'STOP: Red oil can: oil pressure\nVan SX26 WRN (Wren), Ann, 07700 900500\nPlace: not known yet\nSaid: "MARKED words"',
    buttons: [{ tap: "take:h1:1", label: "I take it" }],
  },
  safety: true,
  ring: true,
  callout: 1,
  severity: "stop",
};

describe("the staff hook", () => {
  let provider: Provider;
  const lines: string[] = [];
  const log = openLog("info", { write: (line: string) => void lines.push(line) });
  beforeEach(async () => {
    lines.length = 0;
    provider = await openProvider();
  });
  afterEach(() => provider.close());
  const door = (
    more: {
      firm?: () => Promise<FirmFile>;
      url?: string;
      allowInternal?: boolean;
      resolve?: Resolve;
      timeoutMs?: number;
    } = {},
  ) => {
    const { url = provider.url, allowInternal = true, ...rest } = more;
    const { firm = () => Promise.resolve(book.firm) } = more;
    return hookDoor({
      target: { url, secret: providerSecret, allowInternal },
      now: () => at,
      book,
      log,
      firm,
      publicUrl: "https://trips.example.org",
      ...rest,
    });
  };

  it("carries what a telephone provider needs, signed", async () => {
    expect(await door().send(alert, "web:h1:p1:a#2", lane)).toMatchObject({ kind: "sent" });
    const [post] = provider.posted;
    expect(post?.body).toEqual({
      type: "alert",
      id: post?.headers["webhook-id"],
      contact: { id: "isla", name: "Isla", phone: "+447700900103" },
      ring: true,
      severity: "stop",
      say: "Strathbeg Campervans: STOP: Red oil can: oil pressure. Van SX26 WRN (Wren), Ann, 07700 900500. Press 1: I take it.",
      text: alert.message.text,
      keys: [{ key: 1, label: "I take it" }],
      hire: "h1",
      callout: 1,
      desk: "https://trips.example.org/desk",
    });
    expect(post?.path).toBe("/in?key=MARKED-key-of-the-provider");
    expect(post?.headers["content-type"]).toBe("application/json");
    const id = String(post?.headers["webhook-id"]);
    const seconds = String(post?.headers["webhook-timestamp"]);
    expect(seconds).toBe(String(at / 1000));
    expect(post?.headers["webhook-signature"]).toBe(signatureOf(id, seconds, post?.raw ?? ""));
  });

  it("gives a send the same id at every try, another send another, and no id tells anything", async () => {
    provider.faults.push(500);
    await door().send(alert, "web:h1:p1:a#2", lane);
    await door().send(alert, "web:h1:p1:a#2", lane);
    await door().send(alert, "web:h1:p1:a#3", lane);
    const ids = provider.posted.map((p) => String(p.headers["webhook-id"]));
    expect(ids[0]).toBe(ids[1]);
    expect(ids[2]).not.toBe(ids[0]);
    for (const id of ids) expect(id).toMatch(/^pp_[\w-]{32}$/);
  });

  it("reads nothing aloud that a hirer wrote, keeps short, and says nothing of pressing where nothing can be taken", async () => {
    const { buttons: _none, ...words } = alert.message;
    const long = { ...alert.message, text: `${"word ".repeat(200)}\nVan` };
    await door().send(alert, "a#1", lane);
    await door().send({ ...alert, ring: false, message: words }, "a#2", lane);
    await door().send({ ...alert, message: long }, "a#3", lane);
    const said = provider.posted.map((p) => String(p.body["say"]));
    expect(said.join()).not.toContain("MARKED");
    expect(said[1]).toBe("Strathbeg Campervans: STOP: Red oil can: oil pressure");
    expect(provider.posted[1]?.body).toMatchObject({ ring: false, keys: [] });
    expect(said[2]?.length).toBeLessThan(400);
    expect(said[2]).toMatch(/word … Press 1: I take it\.$/);
  });

  it("goes to the number that the contact has now; where that cannot be read to the known one, and the log has it", async () => {
    const { contacts } = book.firm;
    const isla = { ...contacts["isla"], phone: "07700 900777" } as FirmFile["contacts"][string];
    const moved = { ...book.firm, contacts: { ...contacts, isla } };
    await door({ firm: () => Promise.resolve(moved) }).send(alert, "a#1", lane);
    expect(lines).toEqual([]);
    await door({ firm: () => Promise.reject(new Error("disk")) }).send(alert, "a#2", lane);
    expect(provider.posted.map((p) => p.body["contact"])).toMatchObject([
      { phone: "+447700900777" },
      { phone: "+447700900103" },
    ]);
    expect(lines.map((line) => JSON.parse(line))).toMatchObject([
      { msg: "contacts not read", send: "a#2", at: expect.anything() },
    ]);
    expect(lines.join()).not.toContain("disk");
  });

  it("names no hire where somebody without one wrote", async () => {
    const { callout: _none, ...send } = alert;
    await door().send(send, "a#1", "chat:web:x" as LaneId);
    expect(provider.posted[0]?.body).toMatchObject({ hire: null, callout: null });
  });

  const faults: [ProviderFault, object][] = [
    [200, { kind: "sent" }],
    [202, { kind: "sent" }],
    ["half", { kind: "sent" }],
    [429, { kind: "later", afterMs: 0 }],
    [
      { status: 429, headers: { "retry-after": "7" } },
      { kind: "later", afterMs: 7_000 },
    ],
    [
      { status: 503, headers: { "retry-after": new Date(at + 90_000).toUTCString() } },
      { kind: "later", afterMs: 90_000 },
    ],
    [
      { status: 503, headers: { "retry-after": "86400" } },
      { kind: "later", afterMs: 600_000 },
    ],
    [
      { status: 503, headers: { "retry-after": "soon" } },
      { kind: "later", afterMs: 0 },
    ],
    [408, { kind: "later" }],
    [500, { kind: "later" }],
    [502, { kind: "unsure" }],
    [504, { kind: "unsure" }],
    ["never", { kind: "unsure" }],
    ["reset", { kind: "unsure" }],
    [400, { kind: "refused" }],
    [401, { kind: "refused" }],
    [404, { kind: "refused" }],
    [410, { kind: "refused" }],
  ];
  it.each(faults)(
    "knows what %j means, and says it without the provider's address",
    async (fault, outcome) => {
      provider.faults.push(fault);
      const got = await door({ timeoutMs: 300 }).send(alert, "a#1", lane);
      expect(got).toMatchObject(outcome);
      expect(JSON.stringify(got)).not.toMatch(/MARKED|127\.0\.0\.1/);
      expect(provider.posted).toHaveLength(1);
    },
  );

  it("follows no redirect", async () => {
    const other = await openProvider();
    provider.faults.push({ status: 307, headers: { location: other.url } });
    expect(await door().send(alert, "a#1", lane)).toMatchObject({ kind: "refused" });
    expect(other.posted).toEqual([]);
    await other.close();
  });

  it("tries again where nobody listens, where the name is unknown, and where the other end speaks no TLS", async () => {
    const url = provider.url;
    await provider.close();
    const nobody = await door().send(alert, "a#1", lane);
    expect(nobody).toMatchObject({ kind: "later", why: expect.stringContaining("ECONNREFUSED") });
    const unknown: Resolve = (_host, _options, done) =>
      done(Object.assign(new Error("x"), { code: "ENOTFOUND" }), []);
    const named = door({ url: "https://provider.example/", resolve: unknown });
    expect(await named.send(alert, "a#1", lane)).toMatchObject({ kind: "later" });
    provider = await openProvider();
    const tls = door({ url: provider.url.replace("http:", "https:") });
    expect(await tls.send(alert, "a#1", lane)).toMatchObject({ kind: "later" });
    expect(url).toContain("127.0.0.1");
  });

  it("goes to nothing inside, by address or by what its name leads to", async () => {
    const leads =
      (...addresses: string[]): Resolve =>
      (_host, _options, done) =>
        done(
          null,
          addresses.map((address) => ({ address, family: address.includes(":") ? 6 : 4 })),
        );
    const port = new URL(provider.url).port;
    const strict = { allowInternal: false };
    for (const url of [
      `https://127.0.0.1:${port}/`,
      `https://[::1]:${port}/`,
      `https://2130706433:${port}/`,
      "https://169.254.169.254/",
      provider.url,
    ])
      expect(await door({ ...strict, url }).send(alert, "a#1", lane)).toMatchObject({
        kind: "refused",
      });
    const named = `https://provider.example:${port}/`;
    for (const found of [
      ["127.0.0.1"],
      ["10.0.0.7"],
      ["::1"],
      ["fd00::1"],
      ["8.8.8.8", "127.0.0.1"],
      ["169.254.169.254"],
    ])
      expect(
        await door({ ...strict, url: named, resolve: leads(...found) }).send(alert, "a#1", lane),
      ).toMatchObject({ kind: "refused", why: expect.stringContaining("inside") });
    expect(provider.posted).toEqual([]);
  });

  it("connects to the address that was checked, which is looked up once", async () => {
    const asked: string[] = [];
    const resolve: Resolve = (host, _options, done) => {
      asked.push(host);
      done(null, [{ address: asked.length > 1 ? "192.0.2.1" : "127.0.0.1", family: 4 }]);
    };
    // No resolver of the world knows ".invalid" (RFC 6761): the post arrives only by the answer above.
    const url = provider.url.replace("127.0.0.1", "provider.invalid");
    expect(await door({ url, resolve }).send(alert, "a#1", lane)).toMatchObject({ kind: "sent" });
    expect(asked).toEqual(["provider.invalid"]);
    expect(provider.posted[0]?.headers.host).toContain("provider.invalid");
  });
});
