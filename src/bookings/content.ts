/** A hire as a booking program or a table file gives it, read against the book: what is wrong with it, field by field. Pure. */
import { z } from "zod";
import { type Instant, instantOf, isoIn, knowsZone, readLocal } from "../calendar.js";
import { Fault } from "../faults.js";
import type { Book } from "../knowledge/book.js";
import type { Content } from "./change.js";

const local = z
  .string()
  .max(20)
  .describe("Local time in `zone`, without an offset: 2026-06-03T15:00")
  .meta({ examples: ["2026-06-03T15:00"] });

/** The booking program's own name of a hire. */
export const reference = z
  .string()
  .regex(/^[\w.:/-]{1,64}$/)
  .describe("The booking program's own reference: 1 to 64 letters, digits or . : / _ -");

/** What is pushed or imported of one hire. Its JSON schema is part of the description of the API. */
export const HireContent = z
  .strictObject({
    van: z.string().trim().min(1).max(20).describe("Registration of the van"),
    vanType: z.string().max(40).describe("Id of the van type in the knowledge base"),
    pickup: local,
    return: local,
    zone: z.string().max(60).optional().describe("IANA time zone of both; the firm's where absent"),
    region: z.string().max(40).optional().describe("Country or nation; the firm's where absent"),
    lang: z.string().max(5).optional().describe("Language of dangers; English where absent"),
    surname: z.string().trim().min(1).max(80).describe("Surname of the booking"),
    people: z
      .array(
        z.strictObject({
          name: z.string().trim().min(1).max(60),
          phone: z
            .string()
            .regex(/^\+?[\d ()-]{5,20}$/)
            .optional(),
        }),
      )
      .min(1)
      .max(9)
      .describe("Who booked it first"),
    status: z.enum(["booked", "cancelled"]).optional().describe("booked where absent"),
  })
  .meta({ id: "Hire" });
export type HireContent = z.infer<typeof HireContent>;

/** What is wrong with a field, and what would be right. */
export type Problem = { field: string; wrong: string; right: string };

const problem = (field: string, wrong: string, right: string): Problem => ({ field, wrong, right });

/** The nearest of what is known, for a hint. */
const listed = (ids: Iterable<string>): string => `one of ${[...ids].sort().join(", ")}`;

function readTime(field: string, text: string, zone: string, problems: Problem[]): Instant {
  try {
    return readLocal(text, zone);
  } catch (error) {
    if (!(error instanceof Fault)) throw error;
    const [wrong = "", right = "a local time such as 2026-06-03T15:00"] = error.message.split("; ");
    problems.push(problem(field, wrong, right));
    return instantOf(0);
  }
}

/** The content of a hire, or all that is wrong with it. Names, plates and phones as given, trimmed. */
export function readContent(raw: HireContent, book: Book): Content | Problem[] {
  const problems: Problem[] = [];
  const { zone = book.firm.zone, region = book.firm.region, lang = "en", status = "booked" } = raw;
  if (!book.vans.has(raw.vanType))
    problems.push(problem("vanType", `"${raw.vanType}" is no van type`, listed(book.vans.keys())));
  const isZone = knowsZone(zone);
  if (!isZone)
    problems.push(problem("zone", `"${zone}" is no time zone`, "a name such as Europe/London"));
  const regions = [...book.regions].flatMap(([key, r]) => [key, ...Object.keys(r.nations)]);
  if (!regions.includes(region))
    problems.push(problem("region", `"${region}" is not known`, listed(new Set(regions))));
  if (lang !== "en" && !book.dangersIn.has(lang))
    problems.push(
      problem("lang", `"${lang}" is not known`, listed(["en", ...book.dangersIn.keys()])),
    );
  const pickupAt = isZone ? readTime("pickup", raw.pickup, zone, problems) : instantOf(0);
  const returnAt = isZone ? readTime("return", raw.return, zone, problems) : instantOf(0);
  if (problems.length === 0 && returnAt <= pickupAt)
    problems.push(problem("return", "it is not after the pick-up", "a later time"));
  if (problems.length > 0) return problems;
  const people = raw.people.map(({ name, phone }) => ({
    name: name.trim(),
    ...(phone ? { phone: phone.trim() } : {}),
  }));
  return {
    van: { registration: raw.van.trim().toUpperCase(), type: raw.vanType },
    ...{ pickupAt, returnAt, zone, region, lang, status, people },
    surname: raw.surname.trim(),
  };
}

type Said = { [K in keyof HireContent]-?: Exclude<HireContent[K], undefined> };

/** A content as it is given: what readContent reads back as the same. */
export function sayContent(c: Content): Said {
  const time = (at: Instant) => isoIn(at, c.zone).slice(0, 16);
  return {
    ...{ van: c.van.registration, vanType: c.van.type },
    ...{ pickup: time(c.pickupAt), return: time(c.returnAt) },
    ...{ zone: c.zone, region: c.region, lang: c.lang, surname: c.surname, status: c.status },
    people: c.people.map((p) => ({ ...p })),
  };
}

/** What a schema finds wrong, in our words. `at`: where it found it, "people.0.phone". */
export function schemaProblems(error: z.ZodError): Problem[] {
  return error.issues.flatMap((issue): Problem[] => {
    const field = issue.path.join(".");
    if (issue.code === "unrecognized_keys")
      return issue.keys.map((key) =>
        problem([field, key].filter(Boolean).join("."), "it is not known here", "leave it out"),
      );
    const right =
      field.endsWith("phone") && issue.code === "invalid_format"
        ? "digits such as 07700 900123"
        : issue.message;
    return [problem(field || "(all)", "it cannot be read", right)];
  });
}
