/** Figures for Prometheus: counted in this process, or read from the store when asked. No ids, names or texts. */
import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from "prom-client";
import type { Instant } from "../calendar.js";
import type { LaneState } from "../hires/hire.js";
import type { Watcher } from "../rounds/turns.js";
import type { Standing } from "../store/watch/health.js";

/** Event-loop lag, memory, processor time: of the process, whatever is open in it. */
const ofProcess = new Registry();
collectDefaultMetrics({ register: ofProcess });

/** What a step's reasons say about how a message was understood (hires/reply.ts, hires/trouble.ts, hires/said.ts). */
const understoodAs = /^(answer|choices|triage|lacks|courtesy|person): |^(danger|doubt) /;
/** Seconds: most call-outs ask for an answer within 5 to 15 minutes; by night or for notes it takes hours. */
const takenWithin = [30, 60, 120, 300, 600, 900, 1800, 3600, 4 * 3600, 12 * 3600];

export type Figures = {
  watcher: Watcher;
  type: string;
  /** How many things stand in the way of what hirers write by Telegram. */
  telegramDoubts(count: number): void;
  /** All as text; what the store would tell is NaN where it did not answer. */
  text(standing: Standing | undefined, now: Instant): Promise<string>;
};

const calloutsOf = (state: LaneState | undefined) =>
  state?.kind === "hire" ? state.hire.callouts : [];

/** Seconds since then; 0 for nothing, or for what lies ahead. */
const ageOf = (at: Instant | undefined, now: Instant): number =>
  at === undefined ? 0 : Math.max(0, (now - at) / 1_000);

/** Opens a registry of its own. */
export function openFigures(): Figures {
  const registry = new Registry();
  const registers = [registry];
  const gauge = (name: string, help: string) =>
    new Gauge({ name: `passing_place_${name}`, help, registers });
  const arrival = gauge(
    "oldest_arrival_seconds",
    "Age of the oldest message or act that waits for its turn",
  );
  const due = gauge("oldest_due_seconds", "How long the most overdue due is overdue");
  const send = gauge(
    "oldest_send_seconds",
    "Age of the oldest message that waits to go out or is tried again",
  );
  const failed = gauge("failed_arrivals", "Arrivals whose step failed: a person must look");
  const doubts = gauge(
    "telegram_doubts",
    "What stands in the way of hirers' messages by Telegram, as of the last look at the webhook",
  );
  const sends = new Counter({
    name: "passing_place_sends_total",
    help: "Tries of messages by channel and outcome, since this process started",
    labelNames: ["channel", "outcome"] as const,
    registers,
  });
  const understood = new Counter({
    name: "passing_place_understood_total",
    help: "What hirers' messages were taken for, since this process started",
    labelNames: ["outcome"] as const,
    registers,
  });
  const taken = new Histogram({
    name: "passing_place_callout_taken_seconds",
    help: "From opening a call-out until somebody of staff took it",
    labelNames: ["severity"] as const,
    buckets: takenWithin,
    registers,
  });
  return {
    watcher: {
      turned({ before, step, atOnce, now }) {
        for (const { to } of step.sends)
          if (atOnce.has(to.channel)) sends.inc({ channel: to.channel, outcome: "sent" });
        for (const reason of step.because) {
          const [, plain, danger] = understoodAs.exec(reason) ?? [];
          const outcome = plain ?? danger;
          if (outcome) understood.inc({ outcome });
        }
        const waited = new Set(
          calloutsOf(before.state).flatMap((c) => (c.state === "nobody-yet" ? [c.n] : [])),
        );
        for (const { n, state, severity, openedAt } of calloutsOf(step.state))
          if (state === "with" && waited.has(n)) taken.observe({ severity }, ageOf(openedAt, now));
      },
      tried: (channel, outcome) => sends.inc({ channel, outcome }),
    },
    type: registry.contentType,
    telegramDoubts: (count) => doubts.set(count),
    text(standing, now) {
      const age = (at: Instant | undefined) => (standing ? ageOf(at, now) : Number.NaN);
      arrival.set(age(standing?.arrivalAt));
      due.set(age(standing?.dueAt));
      send.set(age(standing?.sendAt));
      failed.set(standing?.failed ?? Number.NaN);
      return Registry.merge([registry, ofProcess]).metrics();
    },
  };
}
