/**
 * The log: pino, one JSON line per event, a constant message in the past tense and named fields.
 * What hirers write, names, phone numbers and tokens are never logged: there is no field for them.
 */
import { type DestinationStream, type LevelWithSilent, pino } from "pino";

/** All fields that a log line may carry. Ids, counts, codes and reasons; never words of people. */
export type LogFields = {
  lane?: string;
  arrival?: string;
  send?: string;
  hire?: string;
  callout?: number;
  contact?: string;
  channel?: string;
  because?: readonly string[];
  outcome?: string;
  why?: string;
  code?: string;
  kind?: string;
  point?: string;
  count?: number;
  status?: number;
  route?: string;
  port?: number;
  tookMs?: number;
  /** Frames of an unexpected error, without its message: that may hold anything. */
  at?: readonly string[];
};

const allowed: Record<keyof LogFields, true> = {
  lane: true,
  arrival: true,
  send: true,
  hire: true,
  callout: true,
  contact: true,
  channel: true,
  because: true,
  outcome: true,
  why: true,
  code: true,
  kind: true,
  point: true,
  count: true,
  status: true,
  route: true,
  port: true,
  tookMs: true,
  at: true,
};

export type Log = Record<
  "debug" | "info" | "warn" | "error",
  (message: string, fields?: LogFields) => void
>;

/**
 * The lane of somebody without a hire who writes text messages is a telephone number, and stands in the keys of what
 * is theirs: its end tells them apart.
 */
function unnumbered(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(unnumbered);
  return typeof value === "string"
    ? value.replace(/(chat:gateway:)\+\d+(\d{3})/g, "$1+…$2")
    : value;
}

/** Only the named fields; what a caller smuggles in beside them is dropped. */
const named = (fields: LogFields): LogFields =>
  Object.fromEntries(
    Object.entries(fields)
      .filter(([name]) => Object.hasOwn(allowed, name))
      .map(([name, value]) => [name, unnumbered(value)]),
  );

/** The code of an error, else its name: never words. */
function codeOf(error: Error): string {
  const given = "code" in error && typeof error.code === "string" ? error.code : error.name;
  return /^\w{1,40}$/.test(given) ? given : "unknown";
}

/** The first five frames. A message may have lines that look like frames: only what stands after it counts. */
function framesOf({ stack = "", message }: Error): string[] {
  const start = stack.indexOf(message);
  const frames = start < 0 ? [] : stack.slice(start + message.length).split("\n");
  return frames
    .filter((line) => /^\s+at /.test(line))
    .slice(0, 5)
    .map((line) => line.trim());
}

/**
 * What may be logged of a caught error: its code, and where it came from; of a Fault that another error lies
 * behind, that one's code as `why`, and its frames. Never a message, which may hold a token (an address of the
 * Bot API) or what somebody wrote.
 */
export function faultFields(error: unknown): LogFields {
  if (!(error instanceof Error)) return { code: "unknown" };
  const code = codeOf(error);
  if (error.name !== "Fault" || !(error.cause instanceof Error))
    return { code, at: framesOf(error) };
  return { code, why: codeOf(error.cause), at: framesOf(error.cause) };
}

/** Opens the log at a level, to standard output or a given stream. */
export function openLog(level: LevelWithSilent = "info", to?: DestinationStream): Log {
  const out = to ? pino({ level, base: null }, to) : pino({ level, base: null });
  return {
    debug: (message, fields = {}) => out.debug(named(fields), message),
    info: (message, fields = {}) => out.info(named(fields), message),
    warn: (message, fields = {}) => out.warn(named(fields), message),
    error: (message, fields = {}) => out.error(named(fields), message),
  };
}

/** Says nothing; for scripts and tests. */
export const quietLog: Log = openLog("silent");
