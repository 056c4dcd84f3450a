/** Kept wordings as a patch for the knowledge base: a new file of asks. Pure. */
import type { Taught } from "../matching/matcher.js";

/** As YAML: an entry a key, its asks a list of double-quoted strings (JSON's quoting is YAML's). */
export function asYaml(taught: readonly Taught[]): string {
  const byEntry = new Map<string, string[]>();
  for (const { entry, ask } of taught) byEntry.set(entry, [...(byEntry.get(entry) ?? []), ask]);
  return [...byEntry]
    .map(([entry, asks]) => `${entry}:\n${asks.map((a) => `  - ${JSON.stringify(a)}\n`).join("")}`)
    .join("");
}

/** A unified diff that adds the file, for `git apply` or `patch -p1` in the project's folder. */
export function asPatch(taught: readonly Taught[], file: string): string {
  const lines = asYaml(taught).split("\n").slice(0, -1);
  const head = [
    `diff --git a/${file} b/${file}`,
    "new file mode 100644",
    "--- /dev/null",
    `+++ b/${file}`,
    `@@ -0,0 +1,${lines.length + 1} @@`,
    "+# New wordings that were kept at the desk.",
  ];
  return [...head, ...lines.map((l) => `+${l}`), ""].join("\n");
}
