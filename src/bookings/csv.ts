/** Hires as a table file: read line by line with what is wrong in each, and written so that it reads back the same. Pure. */
import { CsvError, parse } from "csv-parse/sync";
import type { Book } from "../knowledge/book.js";
import type { Content } from "./change.js";
import {
  HireContent,
  type Problem,
  readContent,
  reference,
  sayContent,
  schemaProblems,
} from "./content.js";

/** Names of the columns, in the order in which they are written, and what they hold. */
export const columns = {
  reference: "the booking program's own reference",
  van: "registration",
  "van type": "id of the van type",
  "pick-up": "local time, 2026-06-03 15:00",
  return: "local time",
  zone: "time zone; empty: the firm's",
  region: "country or nation; empty: the firm's",
  language: "of dangers; empty: en",
  surname: "of the booking",
  "first name": "of who booked it",
  phone: "of who booked it; empty: not known",
  others: "names, with commas between them",
  status: "booked or cancelled; empty: booked",
} as const;
type Column = keyof typeof columns;
const names = Object.keys(columns) as Column[];
const needed: readonly Column[] = names.filter((n) =>
  ["reference", "van", "van type", "pick-up", "return", "surname", "first name"].includes(n),
);

export type LineProblem = { line: number; column: string; wrong: string; right: string };
export type Line = { line: number; reference: string; content: Content };

/** A file this long is no list of a small firm's hires. */
const mostLines = 5000;

const plain = (name: string): string => name.toLowerCase().replace(/[^a-z]/g, "");
/** A name of a column as people write it: "Pick up", "VAN_TYPE". */
const columnOf = (name: string): Column | undefined => names.find((n) => plain(n) === plain(name));

/** What a table program would have taken for a formula was written with a ' before it. */
const untamed = (cell: string): string =>
  /^'[=+\-@\t\r\n＝＋－＠]/.test(cell) ? cell.slice(1) : cell;

type Row = { line: number; cells: string[] };

/** Rows with the number of the line on which each begins; one problem where the file is no table at all. */
function rowsOf(text: string): Row[] | LineProblem {
  const head = text.slice(0, text.search(/[\r\n]|$/));
  const count = (mark: string) => head.split(mark).length;
  const delimiter = [",", ";", "\t"].reduce((a, b) => (count(b) > count(a) ? b : a));
  try {
    const found = parse(text, {
      ...{ bom: true, delimiter, info: true, relax_column_count: true, trim: true },
      skip_empty_lines: true,
    }) as unknown as { record: string[]; info: { lines: number } }[];
    // The parser tells the line on which a row ends; a cell with line ends in it begins before.
    return found.map(({ record, info }) => ({
      cells: record.map((cell) => untamed(cell.trim())),
      line: info.lines - record.reduce((n, cell) => n + cell.split(/\r\n|\r|\n/).length - 1, 0),
    }));
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = Number((error as { lines?: number }).lines ?? 1);
    return {
      line,
      column: "",
      wrong: "a quotation mark is not closed, or stands inside a cell",
      right: 'each " within a cell twice, and one at both ends',
    };
  }
}

/** Which column each name of the first line is. */
function headed(cells: readonly string[]): {
  order: (Column | undefined)[];
  problems: LineProblem[];
} {
  const order = cells.map(columnOf);
  const problems: LineProblem[] = [];
  const say = (column: string, wrong: string, right: string) =>
    problems.push({ line: 1, column, wrong, right });
  for (const [i, column] of order.entries()) {
    if (column === undefined)
      say(cells[i] ?? "", "there is no such column", `these: ${names.join(", ")}`);
    else if (order.indexOf(column) !== i) say(column, "it stands there twice", "once");
  }
  for (const column of needed)
    if (!order.includes(column)) say(column, "this column is missing", columns[column]);
  return { order, problems };
}

/** Fields of the content by the column that they come from. */
const columnOfField = (field: string): string =>
  ({
    vanType: "van type",
    pickup: "pick-up",
    lang: "language",
    "people.0.name": "first name",
    "people.0.phone": "phone",
  })[field] ?? (field.startsWith("people") ? "others" : field);

function readRow(cell: (column: Column) => string, book: Book): Content | Problem[] {
  const maybe = (column: Column, field: string) => (cell(column) ? { [field]: cell(column) } : {});
  const parsed = HireContent.safeParse({
    van: cell("van"),
    vanType: cell("van type"),
    pickup: cell("pick-up"),
    return: cell("return"),
    surname: cell("surname"),
    people: [
      { name: cell("first name"), ...maybe("phone", "phone") },
      ...cell("others")
        .split(",")
        .map((name) => ({ name: name.trim() }))
        .filter(({ name }) => name !== ""),
    ],
    ...{ ...maybe("zone", "zone"), ...maybe("region", "region"), ...maybe("language", "lang") },
    ...maybe("status", "status"),
  });
  return parsed.success ? readContent(parsed.data, book) : schemaProblems(parsed.error);
}

/**
 * Reads a table file: comma, semicolon or tab between cells, any line ends, with or without a byte order mark.
 * All problems at once, each with line (from 1, the first holds the names), column, and what would be right.
 */
export function readHires(text: string, book: Book): { lines: Line[]; problems: LineProblem[] } {
  const rows = rowsOf(text);
  if (!Array.isArray(rows)) return { lines: [], problems: [rows] };
  const [first, ...rest] = rows;
  if (!first || rest.length === 0 || rest.length > mostLines) {
    const wrong = rest.length > mostLines ? `${rest.length} lines` : "no line with a hire";
    const right = `a first line with the names of the columns, then up to ${mostLines} hires`;
    return { lines: [], problems: [{ line: 1, column: "", wrong, right }] };
  }
  const { order, problems } = headed(first.cells);
  if (problems.length > 0) return { lines: [], problems };
  const lines: Line[] = [];
  const seen = new Map<string, number>();
  for (const { line, cells } of rest) {
    const say = (column: string, wrong: string, right: string) =>
      problems.push({ line, column, wrong, right });
    const at = (column: Column) => cells[order.indexOf(column)] ?? "";
    if (cells.length > order.length && cells.slice(order.length).some((c) => c !== "")) {
      say(
        "",
        `${cells.length} cells where the first line names ${order.length}`,
        "one cell a column",
      );
      continue;
    }
    const ref = at("reference");
    const before = seen.get(ref);
    if (!reference.safeParse(ref).success)
      say(
        "reference",
        `"${ref.slice(0, 64)}" is no reference`,
        "1 to 64 letters, digits or . : / _ -",
      );
    else if (before !== undefined)
      say("reference", `"${ref}" stands on line ${before} already`, "one line a hire");
    seen.set(ref, before ?? line);
    const read = readRow(at, book);
    if (!Array.isArray(read)) lines.push({ line, reference: ref, content: read });
    else for (const p of read) say(columnOfField(p.field), saidOf(at, p), p.right);
  }
  return { lines, problems };
}

/** What is wrong, with what stands there. */
function saidOf(at: (column: Column) => string, { field, wrong }: Problem): string {
  const column = columnOf(columnOfField(field));
  const cell = column ? at(column) : "";
  if (wrong !== "it cannot be read") return wrong;
  return cell === "" ? "it is empty" : `"${cell.slice(0, 60)}" cannot be read`;
}

/** The rows of a table file that reads back as the same hires. */
export function hireRows(hires: readonly { reference: string; content: Content }[]): string[][] {
  const row = ({ reference: ref, content }: (typeof hires)[number]): string[] => {
    const c = sayContent(content);
    const [booker, ...others] = c.people;
    const { name = "", phone = "" } = booker ?? {};
    return [
      ...[ref, c.van, c.vanType, c.pickup.replace("T", " "), c.return.replace("T", " ")],
      ...[c.zone, c.region, c.lang, c.surname, name, phone],
      ...[others.map((p) => p.name).join(", "), c.status],
    ];
  };
  return [[...names], ...hires.map(row)];
}
