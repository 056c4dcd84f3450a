/** Who was taken off a hire, as far as its trip log still has what they wrote or were told. */
import type { Hire } from "../../hires/hire.js";
import { laneOf } from "../../lanes.js";
import type { Db } from "../tables.js";
import { goneWords } from "./forget.js";

/** By id, with the name by which the trip log knew them last; nobody whose talk was let go already. */
export async function takenOff(
  db: Db,
  hire: Pick<Hire, "id" | "people">,
): Promise<{ id: string; name: string }[]> {
  const theirs = db
    .selectFrom("events")
    .where("lane", "=", laneOf(hire.id))
    .where("kind", "in", ["in", "out"])
    .where("person", "is not", null)
    .where("text", "!=", goneWords);
  const last = await theirs
    .select((q) => ["person", q.fn.max("n").as("n")])
    .groupBy("person")
    .orderBy("person")
    .execute();
  const gone = last.filter((row) => !hire.people.some((p) => p.id === row.person));
  if (gone.length === 0) return [];
  const named = await theirs
    .select(["person", "who"])
    .where(
      "n",
      "in",
      gone.map((row) => row.n),
    )
    .orderBy("person")
    .execute();
  return named.map(({ person, who }) => ({
    id: person ?? "",
    name: who.replace(/^hirer:?/, ""),
  }));
}
