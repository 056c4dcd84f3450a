/** Tries a new wording on asks that the model has not seen, in a thread of its own. Shell: starts the thread. */
import { join } from "node:path";
import { Worker } from "node:worker_threads";
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

type Open = { done(answer: Answer | undefined): void; fail(error: Error): void };

/** The thread is started when it is first needed. `patienceMs`: an answer that takes longer is none. */
export function openTrial(file = workerFile(), patienceMs = longestMs): Trial {
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
    const broken = (error: Error) => {
      if (worker === started) worker = undefined;
      for (const one of open.values()) one.fail(error);
      open.clear();
    };
    started.on("message", (answer: Answer) => {
      open.get(answer.n)?.done(answer);
      open.delete(answer.n);
    });
    started.on("error", broken);
    started.on("exit", () => broken(new Error("the thread that tries wordings has ended")));
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
          done(undefined);
        }, patienceMs);
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
