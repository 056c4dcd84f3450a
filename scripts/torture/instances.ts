/** The real service as child processes: started, killed, started again. */
import { type ChildProcess, spawn } from "node:child_process";
import { constants } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { projectFolder } from "../../src/knowledge/read.js";

export type Instance = {
  url: string;
  /** Whether it answers. */
  up: boolean;
  child: ChildProcess;
  /** Resolves when the process has ended. */
  gone: Promise<void>;
};

/** Starts one and gives it back at once; `up` turns true when it listens. What it complains of goes to stderr. It ends with this process at the latest. */
export function start(port: number, env: Readonly<Record<string, string>>): Instance {
  const child = spawn(process.execPath, [join(projectFolder(), "dist/src/main.js")], {
    cwd: projectFolder(),
    env: { PATH: process.env["PATH"] ?? "", ...env, PORT: String(port), LOG_LEVEL: "error" },
    stdio: ["ignore", "inherit", "inherit"],
  });
  endWithUs(child);
  const instance: Instance = {
    url: `http://127.0.0.1:${port}`,
    up: false,
    child,
    gone: new Promise((done) => child.once("exit", () => done())),
  };
  void instance.gone.then(() => {
    instance.up = false;
  });
  return instance;
}

/** Waits until it answers. @throws when it ended, or after three minutes: a busy machine is slow, not broken */
export async function ready(instance: Instance): Promise<void> {
  for (
    let n = 0;
    n < 1_800 && instance.child.exitCode === null && !instance.child.signalCode;
    n++
  ) {
    try {
      if ((await fetch(`${instance.url}/chat`, { redirect: "manual" })).status < 500) {
        instance.up = true;
        return;
      }
    } catch {
      // Not yet.
    }
    await pause(100);
  }
  const { exitCode, signalCode } = instance.child;
  const how =
    exitCode === null && !signalCode ? "does not answer" : `ended (${exitCode ?? signalCode})`;
  throw new Error(`the service ${how} at ${instance.url}`);
}

/** Ends it in the middle of whatever it does. */
export async function kill(instance: Instance): Promise<void> {
  instance.up = false;
  instance.child.kill("SIGKILL");
  await instance.gone;
}

/** Asks it to end, as a service manager does. Gives its exit code. */
export async function stop(instance: Instance): Promise<number | null> {
  instance.up = false;
  instance.child.kill("SIGTERM");
  await instance.gone;
  return instance.child.exitCode;
}

/** Ends a child process at the latest when this one exits. */
export function endWithUs(child: ChildProcess): void {
  const end = () => child.kill("SIGKILL");
  process.once("exit", end);
  child.once("exit", () => process.off("exit", end));
}

/** Makes a signal that ends this process an exit like any other, so that what it started ends too. */
export function exitOnSignal(): void {
  for (const signal of ["SIGHUP", "SIGINT", "SIGTERM"] as const)
    process.once(signal, () => process.exit(128 + constants.signals[signal]));
}
