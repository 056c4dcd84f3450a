/** What buttons of alerts do, on whatever channel staff press them. Pure. */
import type { ArrivalBody, LaneId } from "../post.js";

/**
 * What a tap of a member of staff does, in which lane; undefined for anything else. `contacts`: whose chat
 * it is; a test alert is answered by the contact whom it names, where several share a chat.
 */
export function staffTap(
  data: string,
  contacts: readonly string[],
): { lane: LaneId; body: ArrivalBody } | undefined {
  const [by] = contacts;
  const [, what = "", lane = "", n = "", to = ""] =
    /^(take|pass):(.+?):(\d{1,6})(?::([a-z0-9-]+))?$/.exec(data) ?? [];
  const [, shift = "", contact = "", test = ""] =
    /^(here|stand-in):([a-z0-9-]+):(\d{1,6})$/.exec(data) ?? [];
  if ((shift === "here" || shift === "stand-in") && contacts.includes(contact))
    return {
      lane: "firm" as LaneId,
      body: { kind: "firm", by: contact, act: { do: shift, test: Number(test) } },
    };
  if (by === undefined || (what !== "take" && !(what === "pass" && to))) return undefined;
  const callout = Number(n);
  return {
    lane: `hire:${lane}` as LaneId,
    body: {
      kind: "desk",
      by,
      act: what === "take" ? { do: "take", callout } : { do: "pass", callout, to },
    },
  };
}
