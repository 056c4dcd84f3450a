/** What a turn of the firm's lane adds to its trip log: who came on duty, and what became of test alerts. Pure. */
import type { FirmState, ShiftTest } from "../../roster/duty/state.js";
import type { NewEvent } from "../events.js";

type NameOf = (contact: string) => string;
const list = (ids: readonly string[], nameOf: NameOf): string => ids.map(nameOf).join(" and ");

function testText(was: ShiftTest | undefined, is: ShiftTest, nameOf: NameOf): string | undefined {
  const name = nameOf(is.contact);
  if (!was)
    return `test alert for ${name} by ${is.channels.length > 0 ? is.channels.join(", ") : "the desk's page alone"}`;
  if (was.state !== is.state)
    return {
      open: undefined,
      answered: `${name} has answered the test alert`,
      "stood-in": `${nameOf(is.by ?? "")} stands in for ${is.why === "asked" ? nameOf(is.before[0] ?? "") : name}`,
      over: `the test alert for ${name} is over, not answered`,
    }[is.state];
  return was.toldTimes === is.toldTimes
    ? undefined
    : `${name} has not answered the test alert; told ${list(is.told, nameOf) || "nobody"}`;
}

/** The changes between two states of the lane, in the order in which people would tell them. */
export function firmChanges(
  before: FirmState | undefined,
  after: FirmState,
  nameOf: NameOf,
): NewEvent[] {
  const texts: (string | undefined)[] = [];
  if (before?.on.join() !== after.on.join()) texts.push(`on duty: ${list(after.on, nameOf)}`);
  for (const test of [...after.tests].reverse())
    texts.push(
      testText(
        before?.tests.find((t) => t.n === test.n),
        test,
        nameOf,
      ),
    );
  return texts
    .filter((text) => text !== undefined)
    .map((text) => ({ kind: "change", person: null, channel: null, who: "house", text, more: {} }));
}
