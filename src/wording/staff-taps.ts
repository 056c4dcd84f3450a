/** The buttons under messages to staff, and what a tap on one does. Pure. */
import { after, type Instant } from "../calendar.js";
import type { Button, DeskAct } from "../post.js";

/** Minutes of "I ring in …". */
const ringMin = 15;

/** What can be done to a call-out of a hire by one tap. */
export function staffButtons(hire: string, n: number) {
  const of = (what: string, label: string): Button => ({ tap: `${what}:${hire}:${n}`, label });
  return {
    take: of("take", "I take it"),
    phone: of("phone", "On the phone with them"),
    stillOn: of("phone", "Still on the phone"),
    heard: of("heard", "I have spoken with them"),
    ring: { tap: `ring:${hire}:${n}:${ringMin}`, label: `I ring in ${ringMin} minutes` },
    card: of("card", "Card for roadside assistance"),
    came: of("came", "Roadside assistance is there"),
    end: of("end", "Done: how it ended"),
    keep: of("keep", "I keep it"),
    pass: (to: string, name: string): Button => ({
      tap: `pass:${hire}:${n}:${to}`,
      label: `Pass on to ${name}`,
    }),
    outcome: (id: string, label: string): Button => ({ tap: `done:${hire}:${n}:${id}`, label }),
  };
}

/** For an alert of somebody without a hire, in the lane of their chat. */
export const staffSees = (lane: string): Button => ({
  tap: `seen:${lane}`,
  label: "I look after it",
});

/** The hire and the act behind a tap of a contact; undefined when it is none of ours. */
export function readStaffTap(
  tap: string,
  now: Instant,
): { hire: string; act: DeskAct } | undefined {
  const [, what = "", hire = "", number = "", more = ""] =
    /^([a-z]+):([^:]+):(\d{1,6})(?::([\w-]+))?$/.exec(tap) ?? [];
  const callout = Number(number);
  const act = ((): DeskAct | undefined => {
    switch (what) {
      case "take":
      case "phone":
      case "heard":
      case "keep":
        return { do: what, callout };
      case "ring":
        return { do: "promise", callout, at: after(now, Math.min(Number(more) || ringMin, 240)) };
      case "card":
        return { do: "show", callout, what: "card" };
      case "end":
        return { do: "show", callout, what: "outcomes" };
      case "came":
        return { do: "roadside", callout, came: true };
      case "pass":
        return more ? { do: "pass", callout, to: more } : undefined;
      case "done":
        return more ? { do: "done", callout, outcome: more } : undefined;
      default:
        return undefined;
    }
  })();
  return act && { hire, act };
}
