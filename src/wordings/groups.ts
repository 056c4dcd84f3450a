/** Messages that were not understood, by likeness, the most frequent first. Pure. */
import { grouped, type Vector } from "./alike.js";
import type { How, Missed } from "./missed.js";

export type Group = {
  /** The message that most others resemble. */
  leader: Missed;
  members: readonly Missed[];
  hows: ReadonlyMap<How, number>;
  /** Entries that were chosen, the most often first. */
  chosen: readonly (readonly [string, number])[];
};

function counted<T>(all: readonly T[]): Map<T, number> {
  const counts = new Map<T, number>();
  for (const one of all) counts.set(one, (counts.get(one) ?? 0) + 1);
  return counts;
}

/** Groups the messages, each with its vector; of two groups of a size the one with the later message comes first. */
export function groupsOf(messages: readonly Missed[], vectors: readonly Vector[]): Group[] {
  const late = (group: Group) => Math.max(...group.members.map((m) => m.at));
  return grouped(vectors)
    .flatMap((numbers): Group[] => {
      const members = numbers.flatMap((i) => messages[i] ?? []);
      const [leader] = members;
      if (!leader) return [];
      return [
        {
          leader,
          members,
          hows: counted(members.map((m) => m.how)),
          chosen: [...counted(members.flatMap((m) => m.chose ?? []))].sort((a, b) => b[1] - a[1]),
        },
      ];
    })
    .sort((a, b) => b.members.length - a.members.length || late(b) - late(a));
}
