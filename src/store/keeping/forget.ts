/** Takes the rows of what is let go of a hire; what its files are, and that it happened, is kept until they are gone. */

import type { Content } from "../../bookings/change.js";
import type { Instant } from "../../calendar.js";
import type { Step } from "../../hires/hire.js";
import { hireIn } from "../../lanes.js";
import type { Arrival, DeskAct, FileRef, LaneId } from "../../post.js";
import { changesTheHire, type EventMore } from "../events.js";
import type { Db } from "../tables.js";

type Forgets = NonNullable<Step["forgets"]>;
/** A file on our disk: a photo by chat, or one of a record. */
export type GoneFile = { of: "chat" | "record"; id: string };
/** Acts of staff that hold what hirers said, or what they were told. */
const passesOn: readonly string[] = ["reply", "aboard", "call"];
/** Whether it is a reply that does not say to whom: it may have been to anybody of the hire, so it goes with each. */
const toAnybody = (act: DeskAct | undefined): boolean =>
  act?.do === "reply" && act.person === undefined;
/** In place of words. */
export const goneWords = "(no longer kept)";
const nothing = "{}";

/** What came in: its key stays, so that it is never taken twice. */
async function arrivals(tx: Db, lane: LaneId, but: string, person?: string): Promise<void> {
  const rows = await tx
    .selectFrom("arrivals")
    .select(["key", "body"])
    .where("lane", "=", lane)
    .where("state", "!=", "waiting")
    .where("body", "!=", nothing)
    .where("key", "!=", but)
    .execute();
  const concerns = (text: string): boolean => {
    if (person === undefined) return true;
    const { body } = JSON.parse(text) as Arrival;
    if ("from" in body) return body.from.person === person;
    // A booking has the numbers of all its people.
    if (body.kind === "booked" || body.kind === "changed") return true;
    // The number or chat that was not reached, of whomever.
    if (body.kind === "undelivered") return true;
    if (body.kind !== "desk") return false;
    return toAnybody(body.act) || ("person" in body.act && body.act.person === person);
  };
  for (const row of rows.filter((r) => concerns(r.body)))
    await tx.updateTable("arrivals").set({ body: nothing }).where("key", "=", row.key).execute();
}

/** What this hire reported of vans, in their lanes. */
async function reports(tx: Db, hire: string): Promise<void> {
  const rows = await tx
    .selectFrom("arrivals")
    .select(["key", "body"])
    .where("lane", ">=", "van:")
    .where("lane", "<", "van;")
    .where("state", "!=", "waiting")
    .where("body", "like", `%${JSON.stringify(hire)}%`)
    .execute();
  for (const { key, body: text } of rows) {
    const { body } = JSON.parse(text) as Arrival;
    if (body.kind === "van" && "hire" in body.act && body.act.hire === hire)
      await tx.updateTable("arrivals").set({ body: nothing }).where("key", "=", key).execute();
  }
}

/** The trip log: its order, times and call-outs stay. Gives the files that its messages had. */
async function events(tx: Db, lane: LaneId, forgets: Forgets): Promise<GoneFile[]> {
  const { what, person } = forgets;
  const rows = await tx
    .selectFrom("events")
    .select(["n", "kind", "person", "text", "more"])
    .where("lane", "=", lane)
    .execute();
  const files: GoneFile[] = [];
  for (const row of rows) {
    const more = JSON.parse(row.more) as EventMore;
    const toStaff = row.kind === "out" && row.person === null;
    const theirs = row.kind === "in" || row.kind === "out";
    const reply = row.kind === "staff" && passesOn.includes(more.act?.do ?? "");
    const told = more.act && "person" in more.act ? more.act.person : row.person;
    const concerns = person === undefined || toStaff || told === person || toAnybody(more.act);
    const rebooked = row.kind === "change" && row.text.startsWith(changesTheHire);
    const goes = (concerns && (theirs || reply)) || rebooked;
    // Alerts to staff repeat a hirer's number and words.
    if (goes && more.sends) await tx.deleteFrom("sends").where("key", "in", more.sends).execute();
    if (goes && more.file && more.file.telegram === undefined)
      files.push({ of: "chat", id: (more.file as FileRef).id });
    if (goes || (what === "hire" && row.kind === "staff"))
      await tx
        .updateTable("events")
        .set({ text: goneWords, more: nothing })
        .where("lane", "=", lane)
        .where("n", "=", row.n)
        .execute();
  }
  if (what === "hire")
    await tx
      .updateTable("events")
      .set({ who: "hirer" })
      .where("lane", "=", lane)
      .where("who", "like", "hirer:%")
      .execute();
  return files;
}

/** Ways in: links, numbers, chats. */
async function ways(tx: Db, lane: LaneId, hire: string, person?: string): Promise<void> {
  let links = tx.deleteFrom("links").where("hire", "=", hire);
  let phones = tx.deleteFrom("phones").where("lane", "=", lane);
  let chats = tx.deleteFrom("addresses").where("lane", "=", lane);
  if (person !== undefined) {
    links = links.where("person", "=", person);
    phones = phones.where("person", "=", person);
    chats = chats.where("person", "=", person);
  }
  await links.execute();
  await phones.execute();
  await chats.execute();
}

/** Photos of records; with the hire, those of marks too. */
async function photos(tx: Db, hire: string, marks: boolean): Promise<GoneFile[]> {
  let query = tx.deleteFrom("record_photos").where("hire", "=", hire);
  if (!marks) query = query.where((q) => q.or([q("mark", "is", null), q("kept_at", "is", null)]));
  const rows = await query.returning("id").execute();
  await tx.deleteFrom("record_drafts").where("hire", "=", hire).execute();
  return rows.map(({ id }) => ({ of: "record", id }));
}

/** What a program pushed of the hire; its reference stays, so that it is not made anew (firm/bookings.ts). */
async function pushed(tx: Db, hire: string, withNames: boolean): Promise<void> {
  const row = await tx
    .selectFrom("booking_refs")
    .select("content")
    .where("hire", "=", hire)
    .executeTakeFirst();
  if (!row) return;
  const content = JSON.parse(row.content) as Content;
  const people = content.people.map(({ name }) => ({ name: withNames ? "" : name }));
  const rest = { ...content, people, ...(withNames ? { surname: "" } : {}) };
  await tx
    .updateTable("booking_refs")
    .set({ content: JSON.stringify(rest) })
    .where("hire", "=", hire)
    .execute();
}

async function names(tx: Db, hire: string): Promise<void> {
  await tx.updateTable("hires").set({ surname: "", booker: "" }).where("id", "=", hire).execute();
  await tx.updateTable("readings").set({ by: "", note: null }).where("hire", "=", hire).execute();
  await tx.updateTable("notice_hires").set({ seen_by: null }).where("hire", "=", hire).execute();
}

/** Takes them, inside the turn's transaction. `key`: of the arrival that asked for it. */
export async function forgetRows(
  tx: Db,
  { key, lane }: Pick<Arrival, "key" | "lane">,
  forgets: Forgets,
  now: Instant,
): Promise<void> {
  const { what, by, person } = forgets;
  const hire = hireIn(lane) ?? "";
  await arrivals(tx, lane, key, person);
  await reports(tx, hire);
  await pushed(tx, hire, what === "hire");
  await ways(tx, lane, hire, person);
  const files = await events(tx, lane, forgets);
  if (person === undefined)
    await tx.deleteFrom("calendar_entries").where("hire", "=", hire).execute();
  if (what !== "talk") files.push(...(await photos(tx, hire, what === "hire")));
  if (what === "hire") await names(tx, hire);
  const row = { key, hire, what, by, person: person ?? null, at: now };
  await tx
    .insertInto("forgotten")
    .values({ ...row, files: JSON.stringify(files), files_gone_at: files.length > 0 ? null : now })
    .onConflict((c) => c.column("key").doNothing())
    .execute();
}
