/**
 * What a hirer with that van would be told.
 *   npm run -s ask -- --van curlew "text" [--json] [--region gb-wls] [--lang de]
 *   npm run -s ask -- --jsonl < in > out      lines {"id","text","van","lang"?,"region"?}, each a fresh conversation
 */
import { createInterface } from "node:readline";
import { z } from "zod";
import { atWall, type Instant, readIso } from "../src/calendar.js";
import { newHire } from "../src/hires/people.js";
import { step } from "../src/hires/step.js";
import { understand } from "../src/hires/understand.js";
import { regionIds } from "../src/knowledge/book.js";
import { bookOrExit } from "../src/knowledge/read.js";
import { laneOf } from "../src/lanes.js";
import { openMatcher } from "../src/matcher-cache.js";
import { nearestAsk } from "../src/matching/why.js";
import type { HireId } from "../src/post.js";
import { severities } from "../src/severity.js";
import { severityNow } from "../src/triage/lights.js";
import { readArgs } from "./command/args.js";

const Line = z.strictObject({
  id: z.union([z.string(), z.number()]).transform(String),
  text: z.string(),
  van: z.string(),
  lang: z.string().optional(),
  region: z.string().optional(),
});
type Line = z.output<typeof Line>;

/** Says what is wrong in one line and ends. */
function stop(message: string): never {
  console.error(message);
  process.exit(1);
}

const usage =
  'usage: npm run -s ask -- --van curlew "how do I connect to the mains" [--json] [--region gb-wls] [--lang de] [--at ISO]; or --jsonl < in > out';
const { values: flags, positionals } = readArgs(usage, {
  allowPositionals: true,
  options: {
    van: { type: "string" },
    region: { type: "string" },
    lang: { type: "string" },
    json: { type: "boolean", default: false },
    jsonl: { type: "boolean", default: false },
    at: { type: "string" },
  },
});

const book = bookOrExit();
const text = positionals.join(" ").trim();
if (!flags.jsonl) {
  if (!flags.van || !text) stop(usage);
  if (!book.vans.has(flags.van))
    stop(`unknown van "${flags.van}"; one of ${[...book.vans.keys()].join(", ")} is needed`);
  const regions = regionIds(book);
  if (flags.region !== undefined && !regions.includes(flags.region))
    stop(`unknown region "${flags.region}"; one of ${regions.join(", ")} is needed`);
}
// A day in June at ten in the morning, unless --at says otherwise: the night rule is no part of "what is told".
const now = startOf(flags.at);
const matcher = openMatcher(book);

function startOf(at: string | undefined): Instant {
  try {
    return at ? readIso(at) : atWall("2026-06-03", "10:00", book.firm.zone);
  } catch (error) {
    return stop(`--at: ${error instanceof Error ? error.message : String(error)}`);
  }
}

/** One message of a fresh hire: the decision, and the words that go out. */
function tell(line: Line) {
  const van = book.vans.get(line.van);
  if (!van)
    throw new Error(
      `unknown van "${line.van}"; one of ${[...book.vans.keys()].join(", ")} is needed`,
    );
  const lang = line.lang ?? "en";
  const started = performance.now();
  const choice = understand(matcher, { text: line.text, van, lang, context: { lastEntries: [] } });
  const ms = performance.now() - started;

  const via = { channel: "web", to: "booker" } as const;
  const hire = newHire({
    hire: "ask" as HireId,
    van: { registration: "SX26 ABC", type: van.id },
    pickupAt: now,
    returnAt: now,
    zone: book.firm.zone,
    region: line.region ?? book.firm.region,
    lang,
    surname: "Ask",
    status: "booked",
    people: [{ id: "booker", name: "Booker", booker: true }],
  });
  const staff = Object.keys(book.firm.contacts).filter((id) => book.firm.contacts[id]?.desk);
  const { sends } = step(
    { kind: "hire", hire: { ...hire, people: hire.people.map((p) => ({ ...p, greeted: true })) } },
    {
      key: "ask",
      lane: laneOf("ask"),
      receivedAt: now,
      body: { kind: "said", from: { person: "booker", via }, text: line.text },
    },
    { now, book, matcher, reach: { atDesk: staff, telegram: {}, hook: false } },
  );
  const reply = sends
    .filter((s) => s.person === "booker")
    .map((s) => s.message.text)
    .join("\n\n");
  const acts =
    choice.outcome === "triage" ? choice.entries.slice(0, Math.max(1, choice.answered)) : [];
  const found = acts.flatMap((e) => {
    const entry = book.entries.get(e.id);
    const severity = entry && severityNow(entry, line.text);
    return severity ? [severity] : [];
  });
  const severity = severities.find((s) => found.includes(s)) ?? null;
  const first =
    severity === "danger"
      ? "emergency"
      : severity === "stop" || severity === "soon"
        ? "firm"
        : "none";
  const { outcome, entries, answered, doubt, why } = choice;
  return {
    id: line.id,
    outcome,
    entries,
    answered,
    severity,
    first,
    doubt,
    reply,
    ms: Math.round(ms * 1000) / 1000,
    why: { ...why, nearest: nearestAsk(matcher, why) },
  };
}

if (flags.jsonl) {
  let n = 0;
  for await (const raw of createInterface({ input: process.stdin })) {
    n++;
    if (raw.trim() === "") continue;
    try {
      const { why: _why, ...out } = tell(Line.parse(JSON.parse(raw)));
      console.log(JSON.stringify(out));
    } catch (error) {
      const issue = error instanceof z.ZodError ? error.issues[0] : undefined;
      const what = issue
        ? `${issue.path.join(".") || "line"}: ${issue.message}`
        : error instanceof Error
          ? error.message
          : "unreadable";
      stop(
        `line ${n}: ${what}; a line such as {"id":"1","text":"how do I …","van":"curlew"} is needed`,
      );
    }
  }
} else {
  const out = tell({ id: "1", text, van: flags.van ?? "", lang: flags.lang, region: flags.region });
  console.log(flags.json ? JSON.stringify(out) : out.reply);
}
