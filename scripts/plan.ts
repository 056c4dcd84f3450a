/**
 * The reminders of a hire:
 *   npm run -s plan -- --hire FILE.json [--now ISO] [--ics]
 * FILE: {"van","vanType","pickup","return","zone","region","lang"?,"readings"?,"sent"?,"returnRecord"?}; pick-up and
 * return are local times without an offset. Out: [{rule,due,title,needsReply}] sorted by due, without what was
 * sent and without rows before --now; with --ics the same rows as an RFC 5545 calendar.
 * `returnRecord` is an extra of ours: with it the plan knows that the van is back (no `late`, but `after`).
 */
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { z } from "zod";
import {
  almanac,
  type Instant,
  instantOf,
  isoIn,
  knowsZone,
  readIso,
  readLocal,
} from "../src/calendar.js";
import { Fault } from "../src/faults.js";
import { type Book, regionIds, regionOf } from "../src/knowledge/book.js";
import { nearest } from "../src/knowledge/checks/nearest.js";
import { fill, placeholders } from "../src/knowledge/placeholders.js";
import { readBook, tell } from "../src/knowledge/read.js";
import { calendarFile } from "../src/reminders/calendar/file.js";
import { oilMark, tankShare } from "../src/reminders/marks.js";
import { plan, type Sent } from "../src/reminders/plan.js";
import { plainly } from "../src/reminders/words.js";
import { readArgs } from "./command/args.js";

/** Longer ones are taken for a slip in a year. */
const mostNights = 1000;
const usage = "usage: npm run -s plan -- --hire FILE.json [--now ISO] [--ics]";

const share = z.union([z.number().min(0).max(1), z.string()]);
const Hire = z.object({
  van: z.string().min(1),
  vanType: z.string(),
  pickup: z.string(),
  return: z.string(),
  zone: z.string(),
  region: z.string(),
  lang: z.string().optional(),
  readings: z
    .array(
      z.object({
        at: z.string(),
        odometerKm: z.number().min(0).optional(),
        oil: z.string().optional(),
        fluid: share.optional(),
        fuel: share.optional(),
      }),
    )
    .optional(),
  sent: z.array(z.object({ rule: z.string(), due: z.string() })).optional(),
  returnRecord: z.string().optional(),
});
type HireFile = z.output<typeof Hire>;
/** What would be right, for a field that is missing or of the wrong kind. */
const examples: Record<string, string> = {
  van: 'a registration such as "SX26 ABC"',
  vanType: 'a van type such as "curlew"',
  pickup: 'a local time such as "2026-06-03T10:00"',
  return: 'a local time such as "2026-06-10T10:00"',
  zone: 'a time zone such as "Europe/London"',
  region: 'a region such as "gb"',
  lang: 'a language such as "en"',
  readings:
    'a list such as [{"at":"2026-06-03T10:00","odometerKm":92340,"oil":"between","fluid":0.5}]',
  sent: 'a list such as [{"rule":"welcome","due":"2026-06-03T10:00:00+01:00"}]',
  returnRecord: 'a local time such as "2026-06-10T09:40"',
  at: 'a time such as "2026-06-03T10:00"',
  odometerKm: "kilometres, 0 or more",
  oil: 'a mark such as "between"',
  fluid: "a share of the tank from 0 to 1",
  fuel: "a share of the tank from 0 to 1",
  rule: 'a rule such as "oil-check"',
  due: 'a time such as "2026-06-03T10:00:00+01:00"',
};

const wrong = (message: string): Fault => new Fault("INPUT_WRONG", message);

function parse(text: string): HireFile {
  let json: unknown;
  try {
    json = JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw wrong(
      `not JSON: ${error instanceof Error ? (error.message.split("\n")[0] ?? "") : "unreadable"}`,
    );
  }
  const known = Object.keys(Hire.shape);
  if (json !== null && typeof json === "object" && !Array.isArray(json))
    for (const field of Object.keys(json))
      if (!known.includes(field)) {
        const near = nearest(field, known);
        if (near && Math.abs(near.length - field.length) <= 2 && !(near in json))
          throw wrong(`${field}: unknown field; "${near}" is probably meant`);
        console.error(`${field}: not used`);
      }
  const parsed = Hire.safeParse(json);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  const path = issue?.path ?? [];
  const value = path.reduce<unknown>(
    (at, key) => (at as Record<PropertyKey, unknown> | undefined)?.[key],
    json,
  );
  const field = path
    .map((p, i) => (typeof p === "number" ? `[${p}]` : `${i > 0 ? "." : ""}${String(p)}`))
    .join("");
  const example =
    examples[String(path.findLast((p) => typeof p === "string") ?? "")] ??
    "an object as README describes it";
  throw wrong(
    `${field || "the file"}: ${value === undefined ? "missing" : `${JSON.stringify(value)} is not right`}; ${example} is needed`,
  );
}

const inField = <T>(field: string, make: () => T): T => {
  try {
    return make();
  } catch (error) {
    if (error instanceof Fault) throw wrong(`${field}: ${error.message}`);
    throw error;
  }
};
/** An instant with offset or Z, or a local time of the zone. */
const instant = (text: string, zone: string): Instant =>
  /(?:Z|[+-]\d{2}:?\d{2})$/i.test(text.trim()) ? readIso(text) : readLocal(text, zone);

const oneOf = (field: string, value: string, valid: string[]): string => {
  if (valid.includes(value)) return value;
  const near = nearest(value, valid);
  throw wrong(
    `${field}: unknown "${value}"; ${near ? `"${near}" is the nearest of` : "one of"} ${valid.join(", ")}`,
  );
};

function facts(file: HireFile, book: Book) {
  const { zone } = file;
  if (!knowsZone(zone))
    throw wrong(`zone: unknown time zone "${zone}"; one such as "Europe/London" is needed`);
  const pickupAt = inField("pickup", () => readLocal(file.pickup, zone));
  const returnAt = inField("return", () => readLocal(file.return, zone));
  if (returnAt <= pickupAt)
    throw wrong(
      `return: "${file.return}" is not after pickup "${file.pickup}"; a later time is needed`,
    );
  const days = almanac(pickupAt, pickupAt, zone);
  const nights = days.dayNumber(returnAt) - days.dayNumber(pickupAt);
  if (nights > mostNights)
    throw wrong(`return: a hire of ${nights} nights; at most ${mostNights} are planned`);
  const readings = (file.readings ?? []).map((r, i) => {
    const mark =
      r.oil === undefined
        ? undefined
        : (book.reminders.replies.oil.buttons.find((b) => b.value === r.oil)?.value ??
          oilMark(plainly(r.oil)));
    if (r.oil !== undefined && (mark === undefined || mark === "unclear"))
      throw wrong(
        `readings[${i}].oil: "${r.oil}" is no oil mark; one of ${book.reminders.replies.oil.buttons.map((b) => b.value).join(", ")} is needed`,
      );
    for (const tank of ["fluid", "fuel"] as const)
      if (typeof r[tank] === "string" && typeof tankShare(plainly(r[tank])) !== "number")
        throw wrong(
          `readings[${i}].${tank}: "${r[tank]}" is no level; ${examples[tank]} is needed`,
        );
    return {
      at: inField(`readings[${i}].at`, () => instant(r.at, zone)),
      ...(r.odometerKm === undefined ? {} : { odometerKm: r.odometerKm }),
      ...(mark === undefined ? {} : { oil: mark as "between" }),
    };
  });
  const sent: Sent[] = (file.sent ?? []).map((s, i) => ({
    rule: oneOf(`sent[${i}].rule`, s.rule, Object.keys(book.reminders.rules)),
    due: inField(`sent[${i}].due`, () => instant(s.due, zone)),
  }));
  const record = file.returnRecord;
  return {
    pickupAt,
    returnAt,
    zone,
    readings,
    sent,
    ...(record === undefined
      ? {}
      : { returnRecordAt: inField("returnRecord", () => instant(record, zone)) }),
  };
}

function main(): string {
  const { values: flags } = readArgs(usage, {
    options: {
      hire: { type: "string" },
      now: { type: "string" },
      ics: { type: "boolean", default: false },
    },
  });
  const path = flags.hire;
  if (path === undefined) throw wrong(`--hire is missing; ${usage}`);
  let text: string;
  try {
    text = readFileSync(path === "-" ? 0 : path, "utf8");
  } catch (error) {
    throw wrong(
      `--hire ${path}: cannot be read (${(error as NodeJS.ErrnoException).code ?? "unknown"}); the path of a JSON file is needed`,
    );
  }
  const { book, problems } = readBook();
  const own = problems.filter((p) => /^(reminders|firm|vans|regions)\b/.test(p.file))[0];
  if (own) throw new Fault("KNOWLEDGE_WRONG", tell(own));
  return inField(path, () => {
    const file = parse(text);
    const van = book.vans.get(oneOf("vanType", file.vanType.toLowerCase(), [...book.vans.keys()]));
    if (!van) throw wrong("vanType: unknown");
    oneOf("region", file.region, regionIds(book));
    const hire = facts(file, book);
    const now = flags.now;
    const from = now === undefined ? undefined : inField("--now", () => instant(now, file.zone));
    const { region, nation } = regionOf(book, file.region);
    const values = placeholders(van, region, nation, book.firm);
    const rows = plan(hire, van, book.reminders)
      .filter((row) => from === undefined || row.due >= from)
      .map((row) => ({ ...row, title: fill(row.title, values), text: fill(row.text, values) }));
    if (flags.ics)
      return calendarFile(rows, {
        id: createHash("sha256")
          .update(`${file.van}\0${file.zone}\0${file.pickup}`)
          .digest("hex")
          .slice(0, 16),
        name: `Your ${van.name} from ${book.firm.name}`,
        firm: book.firm.name,
        zone: file.zone,
        stampAt: from ?? instantOf(Date.now()),
      });
    const lines = rows.map((row) =>
      JSON.stringify({
        rule: row.rule,
        due: isoIn(row.due, file.zone),
        title: row.title,
        needsReply: row.needsReply,
      }),
    );
    return lines.length === 0 ? "[]\n" : `[\n  ${lines.join(",\n  ")}\n]\n`;
  });
}

try {
  process.stdout.write(main());
} catch (error) {
  const message = error instanceof Error ? error.message : String(error);
  console.error(message.replace(/\s*\n\s*/g, " "));
  process.exitCode = 1;
}
