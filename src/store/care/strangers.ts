/** Those without a hire who wrote of a danger that nobody of staff has seen yet. */
import type { StrangerAlert } from "../../hires/hire.js";
import { laneNamed } from "../../lanes.js";
import type { LaneId } from "../../post.js";
import { loaded } from "../hires.js";
import type { Db } from "../tables.js";

/** The first to write comes first. */
export async function strangersInDanger(db: Db): Promise<{ lane: LaneId; alert: StrangerAlert }[]> {
  const rows = await db
    .selectFrom("lanes")
    .select(["lane", "version", "state"])
    .where("lane", ">=", "chat:")
    .where("lane", "<", "chat;")
    // Within a text the quotes would be escaped.
    .where("state", "like", '%"alert":{%')
    .execute();
  return rows
    .flatMap((row) => {
      const { state } = loaded(row);
      const alert = state?.kind === "stranger" ? state.stranger.alert : undefined;
      return alert ? [{ lane: laneNamed(row.lane), alert }] : [];
    })
    .sort((a, b) => a.alert.at - b.alert.at);
}
