/** Every command says how it is used, and in one line what is wrong with its arguments. */
import { execFile } from "node:child_process";
import { join } from "node:path";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";
import { projectFolder } from "../src/knowledge/read.js";

/** What a command says and how it ends. */
async function run(name: string, ...args: string[]): Promise<{ code: number; said: string }> {
  const script = join(projectFolder(), "dist", "scripts", `${name}.js`);
  try {
    const { stdout } = await promisify(execFile)(process.execPath, [script, ...args]);
    return { code: 0, said: stdout };
  } catch (error) {
    const { code, stderr } = error as { code: number; stderr: string };
    return { code, said: stderr };
  }
}

describe("a command", () => {
  const names = ["ask", "talk", "guide", "plan", "backup", "restore", "check-knowledge", "demo"];
  it.each([...names, "evaluate", "bench", "torture"])("%s says how it is used", async (name) => {
    const help = await run(name, "--help");
    expect(help.code).toBe(0);
    expect(help.said).toMatch(/^usage: (?:npm run|node dist)/);
    const wrong = await run(name, "--not-known");
    expect(wrong.code).toBe(1);
    expect(wrong.said).toMatch(/^Unknown option '--not-known'; usage: /);
    expect(wrong.said).not.toContain("    at ");
  });
  it.each([
    ["ask", ["--van", "wren", "--region", "fr", "hello"], 'unknown region "fr"; one of gb, '],
    ["ask", ["--van", "wren", "--at", "tomorrow", "hello"], '--at: "tomorrow" is no instant'],
    ["guide", ["--van", "wren", "--region", "fr"], 'unknown region "fr"; one of gb, '],
    ["bench", ["--only", "flod"], '--only: unknown "flod"; any of flood,'],
    ["measure-care", ["--hires", "many"], '--hires: "many" is no whole number'],
  ])("%s %s is told what would be right", async (name, args, said) => {
    const wrong = await run(name, ...args);
    expect(wrong).toEqual({ code: 1, said: expect.stringContaining(said) });
    expect(wrong.said.trim().split("\n")).toHaveLength(1);
  });
});
