/** A real process is ended by SIGKILL in the middle of its work and started again. */
import { spawn } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { afterEach, describe, expect, it } from "vitest";
import { type Instant, instantOf } from "../../src/calendar.js";
import { openHouse } from "../../src/house.js";
import { projectFolder } from "../../src/knowledge/read.js";
import { eventsOf } from "../../src/store/events.js";
import { notDelivered } from "../../src/store/sends.js";
import { ledgerDoor } from "../kit/kill-child.js";
import { houseParts, lane, tempFile } from "../kit/small-house.js";

const cleanups: (() => void)[] = [];
afterEach(() => {
  for (const done of cleanups.splice(0)) done();
});

/** Runs the child until it has acknowledged so many arrivals, kills it, and gives all that it acknowledged. */
async function runAndKill(
  dbFile: string,
  ledger: string,
  first: number,
  after: number,
): Promise<string[]> {
  const child = spawn(
    process.execPath,
    [
      "--import",
      "tsx",
      join(projectFolder(), "tests/kit/kill-child.ts"),
      dbFile,
      ledger,
      String(first),
    ],
    {
      cwd: projectFolder(),
      stdio: ["ignore", "pipe", "inherit"],
    },
  );
  const gone = new Promise<void>((done) => child.once("exit", () => done()));
  const keys: string[] = [];
  for await (const line of createInterface({ input: child.stdout })) {
    keys.push(line);
    if (keys.length === after) child.kill("SIGKILL");
  }
  await gone;
  expect(child.signalCode).toBe("SIGKILL");
  return keys;
}

describe("a process that is killed", () => {
  it("has lost nothing that it acknowledged and done nothing twice when it is started again", {
    timeout: 120_000,
  }, async () => {
    const { file, remove } = tempFile();
    cleanups.push(remove);
    const ledger = `${file}.ledger`;
    const acknowledged: string[] = [];
    const kills = [3, 40, 111];
    for (const [round, after] of kills.entries())
      acknowledged.push(...(await runAndKill(file, ledger, 1 + round * 1000, after)));
    expect(acknowledged.length).toBeGreaterThanOrEqual(154);

    let now: Instant = instantOf(Date.now());
    const house = await openHouse({
      ...houseParts,
      clock: { now: () => now },
      dbFile: file,
      doors: [ledgerDoor("telegram", ledger), ledgerDoor("hook", ledger)],
    });
    for (let at = await house.nextAt(); at !== undefined; at = await house.nextAt()) {
      if (at > now) now = at;
      await house.runUntilIdle();
    }

    const states = new Map(
      (await house.db.selectFrom("arrivals").select(["key", "state"]).execute()).map((a) => [
        a.key,
        a.state,
      ]),
    );
    for (const key of acknowledged) expect(states.get(key), key).toBe("done");

    const events = [
      ...(await eventsOf(house.db, lane("h1"))),
      ...(await eventsOf(house.db, lane("h2"))),
    ];
    for (const of of [lane("h1"), lane("h2")]) {
      const numbers = events.filter((e) => e.lane === of).map((e) => e.n);
      expect(numbers).toEqual(numbers.map((_, i) => i + 1));
    }
    const came = events.filter((e) => e.kind === "in").map((e) => e.more.arrival);
    expect(new Set(came).size).toBe(came.length);
    for (const key of acknowledged) expect(came).toContain(key);

    // Every message left at least once; twice only where the process died while it was on the wire.
    const sends = await house.db
      .selectFrom("sends")
      .select(["key", "state"])
      .orderBy("seq")
      .execute();
    expect(await notDelivered(house.db)).toEqual([]);
    const left = existsSync(ledger) ? readFileSync(ledger, "utf8").trim().split("\n") : [];
    expect(new Set(left)).toEqual(new Set(sends.map((s) => s.key)));
    expect(sends.every((s) => s.state === "sent")).toBe(true);
    // One address a lane and one of staff: at most two safety and two other messages each were under way at a kill.
    expect(left.length - sends.length).toBeLessThanOrEqual(kills.length * 6);
    await house.close();
  });
});
