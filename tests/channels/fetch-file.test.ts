/** Files that providers point to: fetched within limits, and from nowhere inside. */
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type FetchParts, fetchFile } from "../../src/channels/fetch-file.js";
import type { Resolve } from "../../src/channels/guard.js";

const photo = Buffer.from("a photo");

describe("a file of a provider", () => {
  let server: Server;
  let asked: string[];
  beforeEach(async () => {
    asked = [];
    server = createServer((request, response) => {
      asked.push(request.url ?? "");
      if (request.url === "/photo") response.end(photo);
      else if (request.url === "/large") response.end(Buffer.alloc(101));
      else if (request.url === "/moved") response.writeHead(302, { location: "/photo" }).end();
      else if (request.url === "/cut") {
        response.writeHead(200, { "content-length": "50" }).write("half");
        setTimeout(() => response.socket?.destroy(), 20);
      } else if (request.url === "/reset") response.socket?.resetAndDestroy();
      else if (request.url !== "/never")
        response.writeHead(Number(request.url?.slice(1)) || 404).end();
    });
    await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  });
  afterEach(
    () =>
      new Promise<void>((done) => {
        server.close(() => done());
        server.closeAllConnections();
      }),
  );
  const port = () => (server.address() as AddressInfo).port;
  const fetched = (path: string, more: Partial<FetchParts> = {}) =>
    fetchFile(`http://127.0.0.1:${port()}${path}`, {
      ...{ allowInternal: true, limitBytes: 100, timeoutMs: 300 },
      ...more,
    });

  it("is fetched", async () => expect(await fetched("/photo")).toEqual(photo));

  it.each(["/large", "/moved", "/missing"])(
    "is never had from %s: too large, elsewhere, not there",
    async (path) => {
      expect(await fetched(path)).toBe("never");
      expect(asked).toEqual([path]);
    },
  );

  it.each(["/cut", "/never", "/reset", "/503", "/429"])(
    "is not had from %s just now: cut off, silent, broken off, in trouble, too busy",
    async (path) => {
      expect(await fetched(path)).toBe("not-now");
      expect(asked).toEqual([path]);
    },
  );

  it("is not had just now where names cannot be looked up, and never where there is no such name", async () => {
    const failing = (code: string): Resolve => {
      const error = Object.assign(new Error(code), { code });
      return (_host, _options, done) => done(error, []);
    };
    const from = (code: string) =>
      fetchFile("https://files.example/photo", {
        ...{ allowInternal: false, limitBytes: 100, resolve: failing(code) },
      });
    expect(await from("EAI_AGAIN")).toBe("not-now");
    expect(await from("ENOTFOUND")).toBe("never");
  });

  it("is fetched from nowhere inside, by address or by what its name leads to", async () => {
    expect(await fetched("/photo", { allowInternal: false })).toBe("never");
    const resolve: Resolve = (_host, _options, done) =>
      done(null, [{ address: "127.0.0.1", family: 4 }]);
    const parts = { allowInternal: false, limitBytes: 100, resolve };
    expect(await fetchFile(`https://files.example:${port()}/photo`, parts)).toBe("never");
    expect(await fetchFile("file:///etc/hostname", { ...parts, allowInternal: true })).toBe(
      "never",
    );
    expect(await fetchFile("no address", parts)).toBe("never");
    expect(asked).toEqual([]);
  });
});
