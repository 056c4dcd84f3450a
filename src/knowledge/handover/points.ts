/** knowledge/handover.yaml: what is looked at and told when a van goes out and comes back, and which reports stay on it. Pure. */
import { z } from "zod";
import { id, line } from "../shapes.js";

const needs = z.array(id).min(1).optional();

export const HandoverFile = z.strictObject({
  sides: z.array(z.strictObject({ id, say: line.max(40) })).min(4),
  safety: z.array(z.strictObject({ id, say: line, needs })).min(1),
  back: z.array(z.strictObject({ id, say: line, todo: line, needs })).min(1),
  /** Entries whose report passes with the trip. */
  passes: z.array(id),
  /** Dangers after which the van itself is looked at. */
  dangers: z.array(id),
});
export type HandoverFile = z.infer<typeof HandoverFile>;

export const noHandover: HandoverFile = {
  sides: [],
  safety: [],
  back: [],
  passes: [],
  dangers: [],
};

/** The points of a list that concern a van with these features. */
export const pointsFor = <P extends { needs?: string[] | undefined }>(
  points: readonly P[],
  has: readonly string[],
): P[] => points.filter((p) => !p.needs || p.needs.some((feature) => has.includes(feature)));

/** Whether a report of this entry stays on the van until somebody clears it. Readings that stop a van do. */
export function staysOnVan(kind: string, matter: string, file: HandoverFile): boolean {
  if (kind === "danger") return file.dangers.includes(matter);
  return ["light", "fault", "reading"].includes(kind) && !file.passes.includes(matter);
}

type Found = { file: string; path: (string | number)[]; message: string };

/** What does not hold together: twice the same id, an entry or feature that is not there. */
export function examineHandover(
  file: HandoverFile,
  entries: ReadonlyMap<string, { kind: string }>,
  features: ReadonlyMap<string, string>,
): Found[] {
  const found: Found[] = [];
  const say = (path: (string | number)[], message: string) =>
    found.push({ file: "handover.yaml", path, message });
  for (const list of ["sides", "safety", "back"] as const)
    for (const [i, point] of file[list].entries()) {
      if (file[list].findIndex((p) => p.id === point.id) < i)
        say([list, i, "id"], `"${point.id}" stands in this list already`);
      const wanted = "needs" in point ? (point.needs as string[] | undefined) : undefined;
      for (const feature of wanted ?? [])
        if (!features.has(feature))
          say([list, i, "needs"], `"${feature}" is no feature of vans/features.yaml`);
    }
  const kinds = { passes: ["light", "fault"], dangers: ["danger"] };
  for (const list of ["passes", "dangers"] as const)
    for (const [i, entry] of file[list].entries())
      if (!kinds[list].includes(entries.get(entry)?.kind ?? ""))
        say([list, i], `"${entry}" is no ${kinds[list].join(" or ")} of topics.yaml`);
  return found;
}
