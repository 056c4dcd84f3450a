/** Three real processes on one PostgreSQL database under load; two are ended by SIGKILL again and again. */
import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { setTimeout as pause } from "node:timers/promises";
import { afterAll, afterEach, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { instantOf } from "../../src/calendar.js";
import { projectFolder } from "../../src/knowledge/read.js";
import { eventsOf } from "../../src/store/events.js";
import { openStore } from "../../src/store/open.js";
import { lane } from "../kit/small-house.js";

const server = await openServer();
const folder = mkdtempSync(join(tmpdir(), "passing-place-three-"));
const ledger = join(folder, "ledger");
const children = new Set<ChildProcess>();
afterEach(() => {
  for (const child of children) child.kill("SIGKILL");
});
afterAll(async () => {
  await server?.close();
  rmSync(folder, { recursive: true, force: true });
});

/** The same kills every time: a small linear congruential generator (constants of Numerical Recipes). */
function dice(seed: number): (below: number) => number {
  let state = seed;
  return (below) => {
    state = (state * 1_664_525 + 1_013_904_223) % 2 ** 32;
    return Math.floor((state / 2 ** 32) * below);
  };
}

/** Runs a process; gives the keys that it acknowledged once it has filed all, or was killed after so many. */
async function run(url: string, first: number, how: { kill: number } | { file: number }) {
  const count = "file" in how ? [String(how.file)] : [];
  const script = join(projectFolder(), "tests/kit/kill-child.ts");
  const child = spawn(
    process.execPath,
    ["--import", "tsx", script, url, ledger, String(first), ...count],
    { cwd: projectFolder(), stdio: ["ignore", "pipe", "inherit"] },
  );
  children.add(child);
  const keys: string[] = [];
  for await (const line of createInterface({ input: child.stdout })) {
    keys.push(line);
    if ("kill" in how && keys.length === how.kill) child.kill("SIGKILL");
    if ("file" in how && keys.length === how.file) break;
  }
  return keys;
}

describe.skipIf(!server)("three processes, two of which are killed at random", () => {
  it("lose nothing, keep the order of each hire and do nothing twice", {
    timeout: 180_000,
  }, async () => {
    const url = (await server?.database()) ?? "";
    const roll = dice(20_261_125);
    const lives = 3;
    const victim = async (base: number): Promise<string[]> => {
      const keys: string[] = [];
      for (let life = 0; life < lives; life++)
        keys.push(...(await run(url, base + life * 1000, { kill: 5 + roll(60) })));
      return keys;
    };
    const acknowledged = (
      await Promise.all([run(url, 100_000, { file: 250 }), victim(200_000), victim(300_000)])
    ).flat();
    expect(acknowledged.length).toBeGreaterThan(280);

    // The third lives on: it finds the dead by their beats and takes up what they left.
    const { db, close } = await openStore(url, instantOf(Date.now()));
    for (let tries = 0; tries < 600; tries++) {
      const waits = await db
        .selectFrom("sends")
        .select("key")
        .where("state", "=", "waiting")
        .union(db.selectFrom("arrivals").select("key").where("state", "=", "waiting"))
        .union(db.selectFrom("dues").select("key").where("at", "<=", Date.now()))
        .execute();
      const lived = await db.selectFrom("instances").select("id").execute();
      if (waits.length === 0 && lived.length === 1) break;
      await pause(100);
    }

    const arrivals = await db.selectFrom("arrivals").select(["key", "state", "body"]).execute();
    const stateOf = new Map(arrivals.map((a) => [a.key, a.state]));
    for (const key of acknowledged) expect(stateOf.get(key), key).toBe("done");
    let dangers = 0;
    for (const of of [lane("h1"), lane("h2")]) {
      const events = await eventsOf(db, of, 0, 10_000);
      expect(events.map((e) => e.n)).toEqual(events.map((_, i) => i + 1));
      const came = events.filter((e) => e.kind === "in");
      expect(new Set(came.map((e) => e.more.arrival)).size).toBe(came.length);
      dangers += came.filter((e) => e.text === "danger").length;
      // Each life of each process files one after another, and waits for the answer in between.
      const lastOf = new Map<number, number>();
      for (const { more } of came) {
        const n = Number(more.arrival?.split(":")[2]);
        const life = Math.floor(n / 1000);
        expect(n).toBeGreaterThan(lastOf.get(life) ?? 0);
        lastOf.set(life, n);
      }
    }
    const callouts = await db.selectFrom("callouts").select("n").execute();
    expect(callouts).toHaveLength(dangers);

    const sends = await db
      .selectFrom("sends")
      .select(["key", "state", "lane", "channel", "to_addr", "safety"])
      .orderBy("seq")
      .execute();
    expect(sends.filter((s) => s.state !== "sent")).toEqual([]);
    const left = readFileSync(ledger, "utf8").trim().split("\n");
    const firsts = [...new Set(left)];
    expect(new Set(firsts)).toEqual(new Set(sends.map((s) => s.key)));
    // Twice only what was on the wire at a kill: of each of two lanes one address of hirers and one of staff.
    expect(left.length - firsts.length).toBeLessThanOrEqual(2 * lives * 6);
    const place = new Map(firsts.map((key, i) => [key, i]));
    const lastSent = new Map<string, number>();
    for (const { key, ...of } of sends) {
      const line = JSON.stringify(of);
      expect(place.get(key), key).toBeGreaterThan(lastSent.get(line) ?? -1);
      lastSent.set(line, place.get(key) ?? -1);
    }
    const lived = await db.selectFrom("instances").select("id").execute();
    expect(lived).toHaveLength(1);
    await close();
  });
});
