/** How lanes are named; nothing else makes or cuts a lane's name. Pure. */
import type { Address, HireId, LaneId } from "./post.js";

/** There is one firm, and one lane of it. */
export const firmLane = "firm" as LaneId;

/** The lane of a hire. */
export const laneOf = (hire: string): LaneId => `hire:${hire}` as LaneId;

/** The lane of a van. */
export const vanLane = (registration: string): LaneId => `van:${registration}` as LaneId;

/** The lane of somebody without a hire. */
export const chatLane = ({ channel, to }: Address): LaneId => `chat:${channel}:${to}` as LaneId;

/** A lane by its whole name, as it was stored or as a button carries it. */
export const laneNamed = (name: string): LaneId => name as LaneId;

/** The hire of a lane; undefined for any other lane. */
export const hireIn = (lane: string): HireId | undefined =>
  lane.startsWith("hire:") ? (lane.slice("hire:".length) as HireId) : undefined;

/** Whether it is a van's. */
export const isVanLane = (lane: string): boolean => lane.startsWith("van:");

/** Whether it is of somebody without a hire. */
export const isChatLane = (lane: string): boolean => lane.startsWith("chat:");
