/** Floor and service as processes beside each other, on databases of their own, over one Bot API that never fails. */
import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { projectFolder } from "../../src/knowledge/read.js";
import { freePort, openServer } from "../database/postgres-server.js";
import { endWithUs, type Instance, start, stop } from "../torture/instances.js";
import { openShakyBotApi, type ShakyBotApi } from "../torture/shaky-bot-api.js";
import { bookHires, botId, secret, settingsFor } from "../torture/world.js";
import { Crowd, type Load, type Run, type Target } from "./load.js";

/** One of the two under measure. */
export type Side = { target: Target; pid: number };
/** A load with what it took of the processor, ms a message, in the process under measure. */
export type Cost = Load & { cpuMs: number };

/** The questions of our own evaluation set that ask about a van of this type. */
export const questions = (van: string): string[] =>
  readFileSync(join(projectFolder(), "tests/evaluation/messages-questions.jsonl"), "utf8")
    .trim()
    .split("\n")
    .map((line) => JSON.parse(line) as { van: string; text: string })
    .filter((message) => message.van === van)
    .map((message) => message.text);

/** Seconds of the processor that a process has had (proc(5): utime and stime, 100 a second). NaN where there is no /proc. */
function cpuMsOf(pid: number): number {
  try {
    const fields = readFileSync(`/proc/${pid}/stat`, "utf8").split(") ")[1]?.split(" ") ?? [];
    return (Number(fields[11]) + Number(fields[12])) * 10;
  } catch {
    return Number.NaN;
  }
}

/** Memory in use of a process, MB. NaN where there is no /proc. */
export function memoryOf(pid: number): number {
  try {
    const found = /VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"));
    return Number(found?.[1]) / 1024;
  } catch {
    return Number.NaN;
  }
}

export class Rig {
  readonly botApi: ShakyBotApi;
  readonly crowd: Crowd;
  readonly folder = mkdtempSync(join(tmpdir(), "passing-place-bench-"));
  readonly #server: Awaited<ReturnType<typeof openServer>>;
  #floor: ChildProcess | undefined;
  #services: Instance[] = [];

  private constructor(botApi: ShakyBotApi, server: Awaited<ReturnType<typeof openServer>>) {
    this.botApi = botApi;
    this.#server = server;
    this.crowd = new Crowd(botApi);
  }

  /** @throws where PostgreSQL is wanted and there is none */
  static async open(store: "sqlite" | "postgres"): Promise<Rig> {
    const server = store === "postgres" ? await openServer() : undefined;
    if (store === "postgres" && !server) throw new Error("no PostgreSQL server can be started");
    return new Rig(await openShakyBotApi(() => 1), server);
  }

  /** The place of a new, empty database. */
  place = async (name: string): Promise<string> =>
    this.#server ? await this.#server.database() : join(this.folder, `${name}.sqlite`);

  async floor(place: string): Promise<Side> {
    const program = join(projectFolder(), "dist/scripts/bench/floor.js");
    const child = spawn(
      process.execPath,
      [program, place, this.botApi.root, `${botId}:floor`, secret],
      { stdio: ["ignore", "pipe", "inherit"] },
    );
    endWithUs(child);
    this.#floor = child;
    const port = await new Promise((done) =>
      child.stdout.once("data", (told: Buffer) => done(told.toString().trim())),
    );
    return {
      target: { url: `http://127.0.0.1:${port}/telegram`, secret },
      pid: child.pid ?? 0,
    };
  }

  /** Starts the service; `readyMs`: from its start until it says that it is ready. @throws where it is not within two minutes */
  async service(place: string, perSecond = 99_999): Promise<Side & { readyMs: number }> {
    const settings = { place, folder: this.folder, apiRoot: this.botApi.root, perSecond };
    const began = performance.now();
    const instance = start(await freePort(), settingsFor(settings));
    this.#services.push(instance);
    const ready = () =>
      fetch(`${instance.url}/readyz`).then(
        (response) => response.ok,
        () => false,
      );
    while (!(await ready())) {
      if (performance.now() - began > 120_000) throw new Error("the service does not get ready");
      await pause(20);
    }
    return {
      target: { url: `${instance.url}/telegram/${botId}`, secret },
      pid: instance.child.pid ?? 0,
      readyMs: performance.now() - began,
    };
  }

  async stopService(pid: number): Promise<void> {
    const instance = this.#services.find((one) => one.child.pid === pid);
    if (instance) await stop(instance);
  }

  /** Books hires and lets their people come in by their links; gives their chats. */
  async hirers(place: string, many: number): Promise<{ tokens: string[]; chats: string[] }> {
    const tokens = await bookHires(place, many);
    return { tokens, chats: tokens.map((_, n) => String(1_000 + n)) };
  }

  async join(side: Side, { tokens, chats }: { tokens: string[]; chats: string[] }): Promise<void> {
    await Promise.all(
      chats.map((chat, n) => this.crowd.say(side.target, chat, `/start ${tokens[n]}`)),
    );
    await this.crowd.drained();
  }

  async measure(side: Side, how: Run): Promise<Cost> {
    const before = cpuMsOf(side.pid);
    const load = await this.crowd.run(side.target, how);
    return { ...load, cpuMs: (cpuMsOf(side.pid) - before) / load.messages };
  }

  async close(): Promise<void> {
    this.#floor?.kill("SIGKILL");
    for (const one of this.#services) one.child.kill("SIGKILL");
    await Promise.all(this.#services.map((one) => one.gone));
    await this.botApi.close();
    await this.#server?.close();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
