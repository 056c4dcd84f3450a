/** The names of lanes: stored for ever, so they never change. */
import { expect, it } from "vitest";
import {
  chatLane,
  firmLane,
  hireIn,
  isChatLane,
  isVanLane,
  laneOf,
  vanLane,
} from "../src/lanes.js";

it("a lane bears the name of what it is of", () => {
  const chat = chatLane({ channel: "gateway", to: "+447700900500" });
  const lanes = [laneOf("h1"), vanLane("SX26 ABC"), chat, firmLane];
  expect(lanes).toEqual(["hire:h1", "van:SX26 ABC", "chat:gateway:+447700900500", "firm"]);
  expect(lanes.map(hireIn)).toEqual(["h1", undefined, undefined, undefined]);
  expect(lanes.map(isVanLane)).toEqual([false, true, false, false]);
  expect(lanes.map(isChatLane)).toEqual([false, false, true, false]);
});
