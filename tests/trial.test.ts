/** The thread that tries new wordings: the compiled one, on the real book. */
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it } from "vitest";
import { projectFolder } from "../src/knowledge/read.js";
import { openTrial } from "../src/trial.js";

const built = existsSync(join(projectFolder(), "dist", "src", "trial-thread.js"));
if (!built) console.log("trial skipped: the project is not built");

it.skipIf(!built)(
  "a wording is put to asks that the model was not shown, and tells which of them change",
  { timeout: 300_000 },
  async () => {
    const trial = openTrial();
    try {
      // Whoever keeps this would have fires taken for something else.
      const far = { entry: "first-aid", ask: "the van is on fire" };
      const [near, none] = await Promise.all([
        trial.ask([], far, 40),
        trial.ask([far], { entry: "no-such-entry", ask: far.ask }, 40),
      ]);
      if (!near || !none) throw new Error("it took too long");
      expect(near.looked).toBe(40);
      expect(near.of).toBeGreaterThan(3000);
      for (const change of near.changes) expect(change.after).not.toEqual(change.before);
      const fire = near.changes.find((c) => c.text.toLowerCase() === far.ask);
      expect(fire).toMatchObject({ want: "fire", before: { entries: ["fire"], gravity: 0 } });
      expect(["unsafe", "worse"]).toContain(fire?.kind);
      expect(none.changes).toEqual([]);
    } finally {
      await trial.close();
    }
  },
);

const fresh = { entry: "a", ask: "b" };

it("a thread that breaks is told by its own error, and does not keep anybody waiting", async () => {
  const trial = openTrial("/no/such/thread.js");
  await expect(trial.ask([], fresh, 1)).rejects.toMatchObject({ code: "MODULE_NOT_FOUND" });
});

it("a thread that does not answer in time gives nothing", async () => {
  const folder = mkdtempSync(join(tmpdir(), "passing-place-trial-"));
  const file = join(folder, "silent.cjs");
  writeFileSync(file, 'require("node:worker_threads").parentPort.on("message", () => {});');
  const trial = openTrial(file, 100);
  try {
    expect(await trial.ask([], fresh, 1)).toBeUndefined();
  } finally {
    await trial.close();
    rmSync(folder, { recursive: true });
  }
});
