/** Whose word for a visitor's address counts, where proxies stand between. */
import express from "express";
import request from "supertest";
import { describe, expect, it } from "vitest";
import { openLog } from "../src/log.js";
import { trustProxies } from "../src/proxies.js";

/** What a visitor's address is taken for, whose request comes from a peer with the word of proxies. */
async function addresses(trusted: string[], peer: string, words: (string | undefined)[]) {
  const lines: string[] = [];
  const app = express();
  app.use((req, _res, next) => {
    Object.defineProperty(req.socket, "remoteAddress", { value: peer });
    next();
  });
  trustProxies(app, trusted, openLog("warn", { write: (line: string) => void lines.push(line) }));
  app.get("/", (req, res) => void res.type("text").send(req.ip));
  const found: string[] = [];
  for (const word of words) {
    const ask = request(app).get("/");
    found.push((await (word === undefined ? ask : ask.set("X-Forwarded-For", word))).text);
  }
  return { found, lines };
}

describe("a visitor's address", () => {
  const visitor = "203.0.113.9";
  it("is told by a proxy of this machine, and by those of the settings, one behind the other", async () => {
    const own = await addresses([], "127.0.0.1", [visitor, `${visitor}, 10.0.0.5`, undefined]);
    expect(own).toEqual({ found: [visitor, "10.0.0.5", "127.0.0.1"], lines: [] });
    const trusted = ["10.0.0.0/24", "fd00::/8"];
    for (const peer of ["10.0.0.5", "::ffff:10.0.0.5", "fd00::5"])
      expect(await addresses(trusted, peer, [visitor, `${visitor}, 10.0.0.7`])).toEqual({
        found: [visitor, visitor],
        lines: [],
      });
  });

  it("is nobody else's to tell, and the log says once that somebody did", async () => {
    const { found, lines } = await addresses(["10.0.0.5"], "10.0.0.6", [visitor, visitor]);
    expect(found).toEqual(["10.0.0.6", "10.0.0.6"]);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toContain("TRUSTED_PROXIES");
    expect(lines[0]).not.toContain("10.0.0.6");
  });
});
