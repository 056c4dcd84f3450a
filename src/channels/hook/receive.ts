/** Answers from the staff hook: who takes a matter by telephone, who has heard of it, whom it did not reach. */
import { Router } from "express";
import { z } from "zod";
import type { FirmFile } from "../../knowledge/schema.js";
import type { DeskAct, HireId, LaneId } from "../../post.js";
import type { File } from "../door.js";
import { Failure, type ReportFailure, whyFailed } from "../failures.js";
import { type Answer, type InParts, signedRoute } from "../post-in.js";
import { outsideIdOf } from "../post-out.js";

export type AnswerParts = Omit<InParts, "channel"> & {
  firm: FirmFile;
  file: File;
  isHire(hire: HireId): Promise<boolean>;
  failed: ReportFailure;
};

const mostBytes = 16 * 1024;
const answer = {
  type: z.literal("answer"),
  /** The alert's id. */
  id: z.string().regex(/^[\w-]{1,100}$/),
  contact: z.string().max(100),
};
const Body = z.discriminatedUnion("did", [
  z.object({
    ...answer,
    did: z.enum(["take", "read"]),
    hire: z.string().min(1).max(200),
    callout: z.int().min(1).max(1_000_000),
  }),
  z.object({ ...answer, did: z.literal("failed"), why: Failure.default("other") }),
]);

const shape =
  '{"type":"answer","id","contact","did":"take" or "read","hire","callout"} or {…,"did":"failed","why"?} is needed, with the values of the alert';

async function take(parts: AnswerParts, body: unknown): Promise<Answer> {
  const read = Body.safeParse(body);
  if (!read.success) {
    const [issue] = read.error.issues;
    const where = issue?.path.join(".") || "body";
    return { status: 400, error: `${where}: ${issue?.message ?? "unreadable"}. ${shape}` };
  }
  const { data } = read;
  const { id, contact } = data;
  const { contacts } = parts.firm;
  if (!Object.hasOwn(contacts, contact) || contacts[contact]?.kind !== "staff")
    return { status: 404, error: "contact: nobody of staff has this id" };
  if (data.did === "failed") {
    const fits = (key: string) => outsideIdOf(key) === id;
    const found = await parts.failed({ channel: "hook", to: contact }, fits, whyFailed(data.why));
    return found
      ? { status: 200 }
      : { status: 404, error: "id: no alert to this contact has this id" };
  }
  const { did, hire, callout } = data;
  if (!(await parts.isHire(hire as HireId)))
    return { status: 404, error: "hire: there is no such hire" };
  const act: DeskAct = { do: did, callout };
  await parts.file({
    // One alert is taken or heard of once, however often its answer comes.
    key: `hook:${id}:${hire}:${callout}:${contact}:${did}`,
    lane: `hire:${hire}` as LaneId,
    receivedAt: parts.clock.now(),
    body: { kind: "desk", by: contact, act },
  });
  return { status: 200 };
}

/** The route `POST /hook/answers`: 401 not signed, 400 unreadable, 404 unknown, 413 too large, 503 not stored, else 200. */
export function hookRoutes(parts: AnswerParts): Router {
  const router = Router();
  const signedParts = { ...parts, channel: "hook" as const };
  router.post("/hook/answers", ...signedRoute(signedParts, mostBytes, (body) => take(parts, body)));
  return router;
}
