/** Given a firm, when time passes and staff act, then what its lane does: a small player. No store, no doors. */
import { type Instant, readIso } from "../../src/calendar.js";
import { readBook } from "../../src/knowledge/read.js";
import type { FirmFile } from "../../src/knowledge/schema.js";
import { firmLane } from "../../src/lanes.js";
import type { Arrival, ArrivalBody, FirmAct, Matter, Send } from "../../src/post.js";
import type { FirmState, OpenMatter, ShiftTest } from "../../src/roster/duty/state.js";
import { firmStep } from "../../src/roster/duty/step.js";
import { inForce } from "../../src/roster/in-force.js";
import { whoIsOn } from "../../src/roster/on-duty.js";

export const { firm: demoFirm } = readBook().book;

export type FirmPlay = {
  now: Instant;
  state: FirmState;
  /** Of the latest step. */
  sends: Send[];
  posts: Arrival[];
  because: string[];
  open: OpenMatter[];
  dues: Map<string, { at: Instant; matter: Matter }>;
  firm(): FirmFile;
  on(): string[];
  /** Open test alerts. */
  tests(): ShiftTest[];
  act(by: string, act: FirmAct): FirmPlay;
  arrives(body: ArrivalBody): FirmPlay;
  /** Lets time pass; every due on the way has its turn. Gives what went out meanwhile. */
  until(iso: string): Send[];
  /** Who was told what in the latest step. */
  told(): { to: string; text: string }[];
};

/** A firm whose lane has begun at this time; everybody is at the desk unless `atDesk` says otherwise. */
export function firmAt(
  iso: string,
  more: {
    roster?: Partial<FirmFile["roster"]>;
    atDesk?: string[];
    telegram?: Record<string, string>;
  } = {},
): FirmPlay {
  const file = { ...demoFirm, roster: { ...demoFirm.roster, ...more.roster } };
  const reach = {
    atDesk: more.atDesk ?? ["morag", "callum", "isla"],
    telegram: more.telegram ?? {},
    hook: false,
  };
  let n = 0;
  const play: FirmPlay = {
    now: readIso(iso),
    state: { version: 0, contacts: {}, on: [], lookedAt: readIso(iso), tests: [] },
    sends: [],
    posts: [],
    because: [],
    open: [],
    dues: new Map(),
    firm: () => inForce(file, play.state),
    on: () => whoIsOn(play.firm(), play.now).contacts,
    tests: () => play.state.tests.filter((t) => t.state === "open"),
    act: (by, act) => play.arrives({ kind: "firm", by, act }),
    arrives(body) {
      return run(play.state, body);
    },
    until(to) {
      const all: Send[] = [];
      const end = readIso(to);
      for (let guard = 0; guard < 10_000; guard++) {
        const [next] = [...play.dues].sort((a, b) => a[1].at - b[1].at);
        if (!next || next[1].at > end) break;
        play.dues.delete(next[0]);
        if (next[1].at > play.now) play.now = next[1].at;
        run(play.state, { kind: "due", due: next[0], generation: 0, matter: next[1].matter });
        all.push(...play.sends);
      }
      play.now = end;
      return all;
    },
    told: () => play.sends.map((s) => ({ to: s.contact ?? "", text: s.message.text })),
  };
  function run(state: FirmState | undefined, body: ArrivalBody): FirmPlay {
    const before = JSON.stringify(state);
    const made = firmStep(
      state,
      { key: `k${++n}`, lane: firmLane, receivedAt: play.now, body },
      { now: play.now, firm: play.firm(), reach, open: play.open },
    );
    if (JSON.stringify(state) !== before)
      throw new Error("the step changed the state that it was given");
    play.state = made.state;
    play.sends = made.sends;
    play.posts = made.posts;
    play.because = made.because;
    for (const { key, at, matter } of made.dues)
      if (at === null) play.dues.delete(key);
      else play.dues.set(key, { at, matter });
    return play;
  }
  return run(undefined, { kind: "opened" });
}

/** A call-out that is not done, for `open`. */
export const matter = (n: number, more: Partial<OpenMatter> = {}): OpenMatter => ({
  lane: "hire:h1" as OpenMatter["lane"],
  n,
  title: "Red oil light",
  severity: "stop",
  registration: "SX26 ABC",
  ...more,
});
