/** Where the step itself fails on an arrival: the hirer is told whom to ring, and staff to ring them. Pure. */
import type { Arrival, Send } from "../../post.js";
import { sendsTo } from "../../roster/reach.js";
import { callOrder } from "../../triage/order.js";
import { phrase, voiceFor } from "../../wording/say.js";
import type { Facts, LaneState, Step } from "../hire.js";

/** The state stays as it was; nobody knows what the arrival was about, so it counts as the worst. @throws like any step: a caller must expect it */
export function broken(state: LaneState | undefined, arrival: Arrival, facts: Facts): Step {
  const { body } = arrival;
  const { firm } = facts.book;
  const hire = state?.kind === "hire" ? state.hire : undefined;
  const because = ["failed: the step threw"];
  const sends: Send[] = [];
  // What staff did at the desk they see there; word of an undelivered alert must not make another.
  if (body.kind === "desk" || body.kind === "firm" || body.kind === "undelivered")
    return { state, sends, dues: [], because };

  const from = "from" in body ? body.from : undefined;
  const person = hire?.people.find((p) => p.id === from?.person);
  const who = person?.name ?? from?.name ?? "somebody";
  if (from) {
    const { van, region, lang } = hire?.booking ?? {
      van: { type: "" },
      region: firm.region,
      lang: "en",
    };
    sends.push({
      to: from.via,
      who: hire ? `hirer:${who}` : "unknown",
      ...(person ? { person: person.id } : {}),
      message: { text: phrase(voiceFor(facts.book, van.type, region, lang), "went-wrong") },
      safety: true,
    });
  }
  const of = hire ? ` (${hire.booking.van.registration})` : "";
  const words = body.kind === "said" ? ` They wrote: "${body.text.slice(0, 1000)}"` : "";
  const text = from
    ? `The service failed on what ${who}${of} sent. Ring them now${person?.phone ? `: ${person.phone}` : ""}.${words}`
    : `The service failed on something that was due${of}. Please look at this hire at the desk.`;
  for (const id of callOrder(firm, "danger", facts.now))
    sends.push(...sendsTo(firm, facts.reach, id, { text }, { safety: true, ring: true }));
  return { state, sends, dues: [], because };
}
