/** Scripts of `talk`: JSON lines, of which the first is a hire; read and played. */
import { z } from "zod";
import { instantOf, readIso } from "../../src/calendar.js";
import { Fault } from "../../src/faults.js";
import type { Book } from "../../src/knowledge/book.js";
import type { Matcher } from "../../src/matching/matcher.js";
import { bookingOf, ScriptHire } from "./hires.js";
import { Line, names } from "./lines.js";
import { playLine } from "./play-line.js";
import { closePlayer, fileLine, type Out, openPlayer } from "./player.js";

const First = z.strictObject({
  hire: ScriptHire,
  people: names,
  /** Test alerts at the start of shifts, and handing over at their end. */
  shifts: z.boolean().optional(),
});

function read<S extends z.ZodType>(schema: S, raw: string, n: number): z.output<S> {
  let json: unknown;
  try {
    json = JSON.parse(raw);
  } catch {
    throw new Fault("INPUT_WRONG", `script line ${n}: no JSON`);
  }
  const parsed = schema.safeParse(json);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  throw new Fault(
    "INPUT_WRONG",
    `script line ${n}: ${issue?.path.join(".") || "line"}: ${issue?.message ?? "unreadable"}`,
  );
}

/** The lines that are neither empty nor a remark, with their numbers from 1. */
function readScript(script: string) {
  const [head, ...rest] = script
    .split("\n")
    .map((raw, i) => ({ raw, n: i + 1 }))
    .filter(({ raw }) => raw.trim() !== "" && !raw.startsWith("#"));
  if (!head) throw new Fault("INPUT_WRONG", 'the script is empty; its first line is {"hire":{…}}');
  return {
    n: head.n,
    first: read(First, head.raw, head.n),
    lines: rest.map(({ raw, n }) => ({ n, line: read(Line, raw, n) })),
  };
}

/** What a line is wrong in says which line that is. */
async function inLine<T>(n: number, act: () => Promise<T>): Promise<T> {
  try {
    return await act();
  } catch (error) {
    if (!(error instanceof Fault) || error.message.startsWith("script line")) throw error;
    throw new Fault(error.code, `script line ${n}: ${error.message}`);
  }
}

/**
 * Plays a script (JSON lines) on a store of its own and gives everything that went out, in order.
 * @throws INPUT_WRONG, TIME_WRONG with the line that is wrong
 */
export async function play(
  script: string,
  book: Book,
  matcher: Matcher,
  database?: string,
): Promise<Out[]> {
  const { first, n, lines } = readScript(script);
  const { people = ["booker"], shifts = false } = first;
  // People have telephones only where the script uses them.
  const phones = lines.some(({ line }) => line.by === "text");
  const booking = bookingOf(first.hire, { people, id: "talk", book, n, phones });
  const firstAt = lines[0] ? readIso(lines[0].line.at) : booking.pickupAt;
  const now = instantOf(Math.min(firstAt, booking.pickupAt));
  const player = await openPlayer({ book, matcher, database, shifts, phones, booking, now });
  try {
    await fileLine(player, 0, { kind: "booked", booking });
    await player.house.runUntilIdle();
    for (const { n, line } of lines) await inLine(n, () => playLine(player, n, line));
  } finally {
    await closePlayer(player);
  }
  return player.out;
}
