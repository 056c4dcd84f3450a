/** A database file as SQL that can be read and kept: `node dist/tests/kit/dump.js FILE > tests/store/fixtures/after-NNNN.sql`. */
import Database from "better-sqlite3";

const quoted = (value: unknown): string =>
  typeof value === "string"
    ? `'${value.replaceAll("'", "''")}'`
    : value === null
      ? "null"
      : String(value);

/** Tables and indexes as they were made, and every row. */
export function dump(file: string): string {
  const raw = new Database(file, { readonly: true, fileMustExist: true });
  const made = raw
    .prepare(
      "select name, type, sql from sqlite_master where sql is not null and name not like 'sqlite_%' order by rowid",
    )
    .all() as { name: string; type: string; sql: string }[];
  const rows = made
    .filter(({ type }) => type === "table")
    .flatMap(({ name }) =>
      (raw.prepare(`select * from "${name}"`).all() as Record<string, unknown>[]).map(
        (row) =>
          `insert into "${name}" (${Object.keys(row)
            .map((c) => `"${c}"`)
            .join(", ")}) values (${Object.values(row).map(quoted).join(", ")});`,
      ),
    );
  raw.close();
  return [...made.map(({ sql }) => `${sql};`), ...rows, ""].join("\n");
}

if (process.argv[1]?.endsWith("dump.js")) process.stdout.write(dump(process.argv[2] ?? ""));
