/** What takes seconds to make is kept for the next start, beside the installed packages. Shell: touches the disk. */
import { createHash } from "node:crypto";
import {
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { deserialize, serialize } from "node:v8";

/** So many values of one name are kept: checkouts and tests share the folder, each with its own key. */
const most = 6;

/** Changes whenever a file in these folders does, or in any folder within them. */
export function fingerprint(folders: readonly string[]): string {
  const hash = createHash("sha256");
  for (const folder of folders)
    for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true }).sort(
      (a, b) => (join(a.parentPath, a.name) < join(b.parentPath, b.name) ? -1 : 1),
    ))
      if (entry.isFile()) {
        hash.update(entry.name).update("\0");
        hash.update(readFileSync(join(entry.parentPath, entry.name))).update("\0");
      }
  return hash.digest("hex");
}

function read<T>(file: string, key: string): { value: T } | undefined {
  try {
    const kept = deserialize(readFileSync(file)) as { key: string; value: T };
    return kept.key === key ? kept : undefined;
  } catch {
    // Not there, or cut short.
    return undefined;
  }
}

function write(folder: string, name: string, file: string, kept: unknown): void {
  try {
    mkdirSync(folder, { recursive: true });
    // Written aside and renamed, so that a second process never reads half a file.
    const aside = `${file}.${process.pid}`;
    writeFileSync(aside, serialize(kept));
    renameSync(aside, file);
    const files = readdirSync(folder)
      .filter((one) => one.startsWith(`${name}-`) && one.endsWith(".bin"))
      .map((one) => join(folder, one))
      .map((one) => ({ one, at: statSync(one).mtimeMs }))
      .sort((a, b) => b.at - a.at);
    for (const { one } of files.slice(most)) rmSync(one, { force: true });
  } catch {
    // Nowhere to write: the next start makes it again.
  }
}

/**
 * The value that was kept under this name and key, else `make()`, kept for the next start. `value` consists of what
 * the structured clone algorithm copies: no functions. A file that cannot be read or written is no fault.
 * @throws what `make` throws
 */
export function keptBetweenStarts<T>(
  folder: string,
  { name, key }: { name: string; key: string },
  make: () => T,
): T {
  const file = join(
    folder,
    `${name}-${createHash("sha256").update(key).digest("hex").slice(0, 16)}.bin`,
  );
  const found = read<T>(file, key);
  if (found) return found.value;
  const value = make();
  write(folder, name, file, { key, value });
  return value;
}
