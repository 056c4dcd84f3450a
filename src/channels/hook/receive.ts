/** Answers from the staff hook: who takes a matter by telephone, who has heard of it, whom it did not reach. */
import { Router } from "express";
import { z } from "zod";
import type { Instant } from "../../calendar.js";
import type { Address, ArrivalBody, LaneId, Send } from "../../post.js";
import type { File } from "../door.js";
import { Failure, type ReportFailure, whyFailed } from "../failures.js";
import { type Answer, type InParts, signedRoute } from "../post-in.js";
import { outsideIdOf } from "../post-out.js";
import { staffTap } from "../staff-taps.js";

type AnswerParts = Omit<InParts, "channel"> & {
  file: File;
  /** A send to an address, among the last ones, by its key. */
  sent(
    to: Address,
    fits: (key: string) => boolean,
  ): Promise<{ lane: LaneId; send: Send } | undefined>;
  failed: ReportFailure;
};

const mostBytes = 16 * 1024;
const Body = z.object({
  type: z.literal("answer"),
  /** The alert's, and whom it was for. */
  id: z.string().regex(/^[\w-]{1,100}$/),
  contact: z.string().min(1).max(100),
  did: z.enum(["take", "press", "read", "failed"]),
  /** With "press": which of the alert's keys. */
  key: z.int().min(1).max(99).default(1),
  /** With "failed". */
  why: Failure.default("other"),
});
type Told = z.output<typeof Body>;
const shape =
  '{"type":"answer","id","contact","did":"take", "press", "read" or "failed","key"?,"why"?} is needed';

/** What an answer does, in which lane; undefined: nothing that the alert offers. */
function actOf(
  { did, key, contact }: Told,
  lane: LaneId,
  { message, callout }: Send,
  now: Instant,
): { lane: LaneId; body: ArrivalBody } | undefined {
  const { buttons = [] } = message;
  if (did === "read")
    return callout === undefined
      ? undefined
      : { lane, body: { kind: "desk", by: contact, act: { do: "read", callout } } };
  const pressed =
    did === "take" ? buttons.find((b) => b.tap.startsWith("take:")) : buttons[key - 1];
  return pressed && staffTap(pressed.tap, [contact], now);
}

async function take(parts: AnswerParts, body: unknown): Promise<Answer> {
  const read = Body.safeParse(body);
  if (!read.success) {
    const [issue] = read.error.issues;
    const where = issue?.path.join(".") || "body";
    return { status: 400, error: `${where}: ${issue?.message ?? "unreadable"}. ${shape}` };
  }
  const { id, contact, did, key, why } = read.data;
  const to = { channel: "hook", to: contact } as const;
  const fits = (sendKey: string) => outsideIdOf(sendKey) === id;
  const alert = await parts.sent(to, fits);
  if (!alert) return { status: 404, error: "id: no alert to this contact has this id" };
  if (did === "failed") {
    await parts.failed(to, fits, whyFailed(why));
    return { status: 200 };
  }
  const act = actOf(read.data, alert.lane, alert.send, parts.clock.now());
  if (act)
    await parts.file({
      // One alert is taken or heard of once, however often its answer comes.
      key: `hook:${id}:${did === "press" ? `press-${key}` : did}`,
      receivedAt: parts.clock.now(),
      ...act,
    });
  else if (did !== "read") return { status: 409, error: "key: this alert offers nothing there" };
  return { status: 200 };
}

/** The route `POST /hook/answers`: 401 not signed, 400 unreadable, 404 and 409 unknown, 413 too large, 503 not stored, else 200. */
export function hookRoutes(parts: AnswerParts): Router {
  const router = Router();
  const signedParts = { ...parts, channel: "hook" as const };
  router.post("/hook/answers", ...signedRoute(signedParts, mostBytes, (body) => take(parts, body)));
  return router;
}
