/** The project's own evaluation messages, and the part of them that nobody tunes on. */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { z } from "zod";

export const kinds = [
  "answer",
  "light",
  "fault",
  "danger",
  "lacks",
  "out",
  "courtesy",
  "two",
  "follow",
  "decoy",
] as const;
const Line = z.strictObject({
  id: z.string(),
  text: z.string().min(1),
  van: z.string(),
  /** Right entry ids; any of them is right, for `two` both are wanted. Empty: no entry is. */
  want: z.array(z.string()),
  kind: z.enum(kinds),
  speaker: z.enum(["native", "foreign", "panicked", "laconic", "story"]),
  /** Entries told before, the newest first. */
  after: z.array(z.string()).optional(),
  lang: z.string().optional(),
});
export type Sample = z.infer<typeof Line> & { final: boolean };

/** FNV-1a, 32 bits. */
export function hash(text: string): number {
  let h = 2166136261;
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 16777619) >>> 0;
  return h >>> 0;
}

/** Thirty in a hundred, by a hash of the id: the final test, which nobody tunes on. */
export const isFinal = (id: string): boolean => (hash(`final ${id}`) >>> 8) % 100 < 30;

/**
 * Reads the files of one set: "messages" are ours to tune on, but for the final part; "unseen" are by later writers,
 * and nothing is ever learnt from them. @throws with file and line on a line that does not fit
 */
export function readMessages(folder: string, set: "messages" | "unseen" = "messages"): Sample[] {
  if (!existsSync(folder)) return [];
  const samples: Sample[] = [];
  for (const file of readdirSync(folder)
    .filter((f) => f.startsWith(set) && f.endsWith(".jsonl"))
    .sort())
    for (const [n, line] of readFileSync(join(folder, file), "utf8").split("\n").entries()) {
      if (line.trim() === "") continue;
      const parsed = Line.safeParse(JSON.parse(line));
      if (!parsed.success)
        throw new Error(
          `${file}:${n + 1}: ${parsed.error.issues[0]?.path.join(".")}: ${parsed.error.issues[0]?.message}`,
        );
      samples.push({ ...parsed.data, final: isFinal(parsed.data.id) });
    }
  return samples;
}
