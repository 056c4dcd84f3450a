/** Tries a new wording on asks that the model has not seen, in a thread of its own. Shell: starts the thread. */
import { join } from "node:path";
import { Worker } from "node:worker_threads";
import { Fault } from "./faults.js";
import { projectFolder } from "./knowledge/read.js";
import type { Taught } from "./matching/matcher.js";
import type { Looked, Trial } from "./wordings/changes.js";

/** `kept`: what holds already. `most`: so many asks, those most like the new one. */
export type Question = { n: number; kept: readonly Taught[]; fresh: Taught; most: number };
export type Answer = Looked & { n: number };

/** A thread that nobody asks lets go of its memory. */
const idleMs = 10 * 60_000;
const longestMs = 5 * 60_000;
/** Where this file is not compiled (tests), the compiled one of the project is started. */
const workerFile = () => join(projectFolder(), "dist", "src", "trial-thread.js");

type Open = { done(answer: Answer): void; fail(error: Error): void };
const failed = (why: string) => new Fault("STORE_WRONG", `the wording could not be tried: ${why}`);

/** The thread is started when it is first needed. */
export function openTrial(file = workerFile()): Trial {
  let worker: Worker | undefined;
  let idle: NodeJS.Timeout | undefined;
  let last = 0;
  const open = new Map<number, Open>();

  const stop = async () => {
    clearTimeout(idle);
    const running = worker;
    worker = undefined;
    await running?.terminate();
  };
  const start = (): Worker => {
    clearTimeout(idle);
    idle = setTimeout(() => void stop(), idleMs);
    idle.unref();
    if (worker) return worker;
    const started = new Worker(file);
    const broken = (why: string) => {
      if (worker === started) worker = undefined;
      for (const one of open.values()) one.fail(failed(why));
      open.clear();
    };
    started.on("message", (answer: Answer) => {
      open.get(answer.n)?.done(answer);
      open.delete(answer.n);
    });
    started.on("error", (error) => broken(error.message));
    started.on("exit", () => broken("its thread has ended"));
    started.unref();
    worker = started;
    return started;
  };
  return {
    warm: () => void start(),
    ask(kept, fresh, most) {
      const n = ++last;
      return new Promise((done, fail) => {
        const late = setTimeout(() => {
          open.delete(n);
          fail(failed("it took too long"));
        }, longestMs);
        const ended =
          <T>(way: (value: T) => void) =>
          (value: T) => {
            clearTimeout(late);
            way(value);
          };
        open.set(n, { done: ended(done), fail: ended(fail) });
        start().postMessage({ n, kept, fresh, most } satisfies Question);
      });
    },
    close: stop,
  };
}
