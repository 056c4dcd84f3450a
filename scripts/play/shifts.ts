/** What staff do to their shifts in a script of `talk`. */
import type { House } from "../../src/house.js";
import { firmLane } from "../../src/lanes.js";
import type { ArrivalBody, FirmAct } from "../../src/post.js";

export const shiftDos = ["here", "stand-in", "off", "stay"] as const;
type ShiftLine = { do?: string | undefined; duty?: string | undefined; to?: string | undefined };

/** The arrival that such a line stands for; undefined for any other line. "here" answers one's own latest test alert, "stand-in" another's. */
export async function shiftBody(
  house: House,
  line: ShiftLine,
  contact: (name: string) => string,
): Promise<ArrivalBody | undefined> {
  const doing = shiftDos.find((d) => d === line.do);
  if (!doing) return undefined;
  const by = contact(line.duty ?? "");
  const state = await house.laneState(firmLane);
  const open = state?.kind === "firm" ? state.firm.tests.filter((t) => t.state === "open") : [];
  const test = open.find((t) => (t.contact === by) === (doing === "here"))?.n ?? 0;
  const act: FirmAct =
    doing === "off"
      ? { do: doing, ...(line.to ? { to: contact(line.to) } : {}) }
      : doing === "stay"
        ? { do: doing }
        : { do: doing, test };
  return { kind: "firm", by, act };
}
