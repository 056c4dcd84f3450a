/** Reads knowledge/ from disk into a Book; reports every problem at once with file, line and field. */

import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { isNode, LineCounter, parseDocument } from "yaml";
import type { z } from "zod";
import { z as zod } from "zod";
import { Fault } from "../faults.js";
import { fingerprint, keptBetweenStarts } from "../start-cache.js";
import { assemble, type Parts, TopicsFile } from "./assemble.js";
import type { Book } from "./book.js";
import { DangerWordsFile } from "./danger-words.js";
import { examine } from "./examine.js";
import { KeepingFile } from "./firm/keeping.js";
import { RegionFile } from "./firm/region.js";
import { HandoverFile } from "./handover/points.js";
import { MeaningsFile } from "./meanings.js";
import { BackgroundFile, OutsideFile } from "./outside.js";
import {
  FirmFile,
  files,
  PhrasesFile,
  RemindersFile,
  SheetFile,
  SumsFile,
  VanFacts,
  VanFile,
  WordsFile,
} from "./schema.js";

type Problem = { file: string; line: number; field: string; message: string };

/** The project's own folder: the nearest one upwards that holds knowledge/. */
export function projectFolder(from = dirname(fileURLToPath(import.meta.url))): string {
  for (let at = from; ; at = dirname(at)) {
    if (existsSync(join(at, "knowledge")) && existsSync(join(at, "package.json"))) return at;
    if (dirname(at) === at)
      throw new Fault("KNOWLEDGE_WRONG", `no knowledge folder found upwards of ${from}`);
  }
}

type Read = { locate(path: readonly PropertyKey[]): number };

/** Reads all of knowledge/. `problems` empty: the book is sound. Touches the disk only to read. */
export function readBook(folder = join(projectFolder(), "knowledge")): {
  book: Book;
  problems: Problem[];
} {
  const problems: Problem[] = [];
  const readers = new Map<string, Read>();
  const hash = createHash("sha256");

  function yaml<S extends z.ZodType>(file: string, schema: S): z.output<S> | undefined {
    const path = join(folder, file);
    if (!existsSync(path)) {
      problems.push({ file, line: 1, field: "", message: "the file is missing" });
      return undefined;
    }
    const text = readFileSync(path, "utf8");
    hash.update(file).update("\0").update(text);
    const lines = new LineCounter();
    const doc = parseDocument(text, { lineCounter: lines });
    const locate = (at: readonly PropertyKey[]): number => {
      for (let n = at.length; n >= 0; n--) {
        const node = doc.getIn(at.slice(0, n) as (string | number)[], true);
        if (isNode(node) && node.range) return lines.linePos(node.range[0]).line;
      }
      return 1;
    };
    readers.set(file, { locate });
    for (const error of doc.errors)
      problems.push({
        file,
        line: error.linePos?.[0].line ?? 1,
        field: "",
        message: error.message.split("\n")[0] ?? "",
      });
    if (doc.errors.length > 0) return undefined;
    const parsed = schema.safeParse(doc.toJS());
    if (parsed.success) return parsed.data;
    for (const issue of parsed.error.issues)
      problems.push({
        file,
        line: locate(issue.path),
        field: issue.path.join("."),
        message: issue.message,
      });
    return undefined;
  }

  const list = (sub: string) =>
    existsSync(join(folder, sub)) ? readdirSync(join(folder, sub)).sort() : [];
  const yamls = (sub: string) =>
    list(sub)
      .filter((f) => f.endsWith(".yaml"))
      .map((f) => `${sub}/${f}`);
  const language = (file: string) => /\.([a-z]{2})\.yaml$/.exec(file)?.[1];

  /** The words of a list; lines that begin with # are none. */
  const wordList = (file: string): ReadonlySet<string> => {
    const path = join(folder, file);
    const text = existsSync(path) ? readFileSync(path, "utf8") : "";
    if (text === "") problems.push({ file, line: 1, field: "", message: "the file is missing" });
    hash.update(text);
    return new Set(text.replace(/^#.*$/gm, "").split(/\s+/));
  };
  const parts: Parts = {
    commonWords: wordList("common-words.txt"),
    realWords: wordList("real-words.txt"),
    answers: [],
    lights: [],
    faults: [],
    dangers: [],
    languages: [],
    courtesies: [],
    moreAsks: [],
    vans: new Map(),
    regions: new Map(),
    features: new Map(),
    pictures: new Set(),
    lightSheet: [],
    topics: yaml("topics.yaml", TopicsFile),
    firm: yaml("firm.yaml", FirmFile),
    reminders: yaml("reminders.yaml", RemindersFile),
    sums: yaml("sums.yaml", SumsFile),
    handover: yaml("handover.yaml", HandoverFile),
    keeping: yaml("keeping.yaml", KeepingFile),
    phrases: yaml("phrases.yaml", PhrasesFile),
    words: yaml("words.yaml", WordsFile),
    dangerWords: yaml("danger-words.yaml", DangerWordsFile),
    meanings: yaml("meanings.yaml", MeaningsFile),
    outside: yaml("outside.yaml", OutsideFile),
    background: yaml("background.yaml", BackgroundFile),
  };
  for (const kind of ["answers", "lights", "faults"] as const)
    for (const file of yamls(kind)) {
      const texts = yaml(file, files[kind]);
      // The three kinds share this shape; each list holds its own kind's texts.
      if (texts) (parts[kind] as { file: string; texts: unknown }[]).push({ file, texts });
    }
  for (const file of yamls("dangers")) {
    const lang = language(file);
    if (lang) {
      const texts = yaml(file, files.dangersInLanguage);
      if (texts) parts.languages.push({ file, lang, texts });
    } else {
      const texts = yaml(file, files.dangers);
      if (texts) parts.dangers.push({ file, texts });
    }
  }
  for (const file of yamls("asks")) {
    const texts = yaml(file, files.moreAsks);
    if (texts) parts.moreAsks.push({ file, texts });
  }
  const courtesies = yaml("courtesies.yaml", files.courtesies);
  if (courtesies) parts.courtesies.push({ file: "courtesies.yaml", texts: courtesies });
  const features = yaml("vans/features.yaml", zod.record(zod.string(), zod.string().min(1)));
  if (features) parts.features = new Map(Object.entries(features));
  for (const id of list("vans").filter((f) => statSync(join(folder, "vans", f)).isDirectory())) {
    const van = yaml(`vans/${id}/van.yaml`, VanFile);
    const facts: Record<string, string | string[]> = {};
    for (const file of yamls(`vans/${id}`).filter((f) => !f.endsWith("/van.yaml"))) {
      for (const [key, value] of Object.entries(yaml(file, VanFacts) ?? {})) {
        if (key in facts)
          problems.push({
            file,
            line: readers.get(file)?.locate([key]) ?? 1,
            field: key,
            message: "this fact stands in another file of the van already",
          });
        facts[key] = value;
      }
    }
    if (van) parts.vans.set(id, { ...van, id, facts });
  }
  for (const file of yamls("regions")) {
    const region = yaml(file, RegionFile);
    if (region) parts.regions.set(file.slice("regions/".length, -".yaml".length), region);
  }
  if (list("pictures").includes("sheet.yaml"))
    parts.lightSheet = yaml("pictures/sheet.yaml", SheetFile)?.order ?? [];
  for (const file of list("pictures").filter((f) => f.endsWith(".svg"))) {
    parts.pictures.add(file.slice(0, -".svg".length));
    hash.update(file);
  }

  const book = assemble(parts, hash.digest("hex"));
  for (const found of examine(parts, book))
    problems.push({
      file: found.file,
      line: readers.get(found.file)?.locate(found.path) ?? 1,
      field: found.path.join("."),
      message: found.message,
    });
  // A text is checked for every van and nation; the same problem is told once.
  const told = new Map(problems.map((p) => [tell(p), p]));
  return { book, problems: [...told.values()] };
}

/** One problem as a line: file:line field: message. */
export const tell = (p: Problem) => `knowledge/${p.file}:${p.line} ${p.field}: ${p.message}`;

/** Beside the installed packages: thrown away with them, never under version control. */
export const cacheFolder = (): string =>
  join(projectFolder(), "node_modules", ".cache", "passing-place");

/** The project's own book, read anew where a file of it, or of the code that reads it, has changed. @throws KNOWLEDGE_WRONG */
export function openBook(): Book {
  const folder = join(projectFolder(), "knowledge");
  const key = fingerprint([folder, dirname(fileURLToPath(import.meta.url))]);
  return keptBetweenStarts(cacheFolder(), { name: "book", key }, () => soundBook(folder));
}

/** The book of a folder, or a Fault that lists every problem. @throws KNOWLEDGE_WRONG */
function soundBook(folder: string): Book {
  const { book, problems } = readBook(folder);
  if (problems.length > 0)
    throw new Fault(
      "KNOWLEDGE_WRONG",
      `the knowledge base has ${problems.length} problem(s):\n${problems.map((p) => `  ${tell(p)}`).join("\n")}`,
    );
  return book;
}

/** The book for a command: what is wrong goes to the terminal, line by line, and the process ends with 1. */
export function bookOrExit(): Book {
  try {
    return openBook();
  } catch (error) {
    console.error(error instanceof Fault ? error.message : String(error));
    process.exit(1);
  }
}
