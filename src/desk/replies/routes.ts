/** The page at /desk/replies. */
import { Router } from "express";
import { isTask } from "../../callouts/steps.js";
import { laneOf } from "../../lanes.js";
import { html } from "../../pages/html.js";
import { openReplies } from "../../store/care/replies.js";
import { openCallouts } from "../../store/hires.js";
import { type DeskParts, type Entry, newId, send } from "../entry.js";
import { deskPage } from "../frame.js";
import { notAnswered, ringToday, type Task } from "./page.js";

/** The tasks that nobody has done yet. */
export async function openTasks(parts: DeskParts): Promise<Task[]> {
  const tasks: Task[] = [];
  for (const row of (await openCallouts(parts.db)).filter(isTask)) {
    const state = await parts.laneState(laneOf(row.hire));
    const callout =
      state?.kind === "hire" ? state.hire.callouts.find((c) => c.n === row.n) : undefined;
    if (state?.kind === "hire" && callout) tasks.push({ hire: state.hire, callout });
  }
  return tasks;
}

export function replyRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  router.get(
    "/desk/replies",
    staff(async (_req, res, who) => {
      const now = parts.now();
      const tasks = await openTasks(parts);
      const rows = await openReplies(parts.db);
      const body = html`<h1>Answers to reminders</h1>${tasks.length === 0 ? html`<p>Nobody is to be rung today.</p>` : ringToday(tasks, who, parts.book, now, newId)}${notAnswered(rows, parts.book, now)}`;
      return send(res, 200, deskPage("Answers", who, body));
    }),
  );
  return router;
}
