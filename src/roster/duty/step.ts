/** The firm's own lane: roster, contacts, shifts. Handled as a hire's is: one arrival, one pure step. */
import type { Arrival, Due, Reason, Send } from "../../post.js";
import { whoIsOn } from "../on-duty.js";
import { act, lapse } from "./acts.js";
import { look } from "./look.js";
import type { DutyFacts, FirmState } from "./state.js";
import { testLost, unanswered } from "./tests.js";
import { watch } from "./watch.js";

type FirmStep = {
  state: FirmState;
  sends: Send[];
  dues: Due[];
  posts: Arrival[];
  because: Reason[];
};

/** One arrival of the firm's lane. Pure; never throws on strange input: it is then ignored, with the reason. */
export function firmStep(
  before: FirmState | undefined,
  arrival: Arrival,
  facts: DutyFacts,
): FirmStep {
  const { body } = arrival;
  const fresh: FirmState = { version: 0, contacts: {}, on: [], lookedAt: facts.now, tests: [] };
  const w = watch(before ?? fresh, arrival.key, facts);
  // Whoever is on when the service starts for the first time began their shift without us: no test.
  if (!before) w.state.on = whoIsOn(w.firm, w.now).contacts;
  if (!before || body.kind === "opened") look(w);
  if (body.kind === "firm") act(w, body.by, body.act);
  else if (body.kind === "due" && body.matter.kind === "shift") look(w);
  else if (body.kind === "due" && body.matter.kind === "shift-test")
    unanswered(w, body.matter.test);
  else if (body.kind === "undelivered") {
    const { to } = body;
    const contact = Object.keys(w.firm.contacts).find(
      (id) => id === to.to || facts.reach.telegram[id] === to.to,
    );
    w.because.push(`not delivered on ${to.channel}`);
    if (contact) testLost(w, contact, to.channel);
  } else if (body.kind !== "opened") w.because.push(`ignored: ${body.kind} for the firm`);
  lapse(w);
  return { state: w.state, sends: w.sends, dues: w.dues, posts: w.posts, because: w.because };
}
