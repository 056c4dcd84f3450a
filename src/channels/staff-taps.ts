/** What buttons of alerts do, on whatever channel staff press them. Pure. */
import type { Instant } from "../calendar.js";
import { firmLane, laneNamed, laneOf } from "../lanes.js";
import type { ArrivalBody, LaneId } from "../post.js";
import { readStaffTap } from "../wording/staff-taps.js";

/**
 * What a tap of a member of staff does, in which lane; undefined for anything else. `contacts`: whose chat
 * it is, whoever taps first; a test alert is answered by the contact whom it names, where several share a chat.
 */
export function staffTap(
  data: string,
  contacts: readonly string[],
  now: Instant,
): { lane: LaneId; body: ArrivalBody } | undefined {
  const [by] = contacts;
  const [, shift = "", contact = "", test = ""] =
    /^(here|stand-in):([a-z0-9-]+):(\d{1,6})$/.exec(data) ?? [];
  if ((shift === "here" || shift === "stand-in") && contacts.includes(contact))
    return {
      lane: firmLane,
      body: { kind: "firm", by: contact, act: { do: shift, test: Number(test) } },
    };
  const [, chat] = /^seen:(chat:[a-z]+:[^:]{1,64})$/.exec(data) ?? [];
  if (by !== undefined && chat !== undefined)
    return { lane: laneNamed(chat), body: { kind: "desk", by, act: { do: "seen" } } };
  const read = readStaffTap(data, now);
  if (by === undefined || !read) return undefined;
  return { lane: laneOf(read.hire), body: { kind: "desk", by, act: read.act } };
}
