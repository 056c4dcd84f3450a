/** The routes under /desk/wordings. */
import { setImmediate as breathe } from "node:timers/promises";
import { type Response, Router } from "express";
import { after, dayOf } from "../../calendar.js";
import { understand } from "../../hires/understand.js";
import type { Matcher, Taught } from "../../matching/matcher.js";
import type { Html } from "../../pages/html.js";
import { html } from "../../pages/html.js";
import { heardSince } from "../../store/wordings/heard.js";
import { actOnWording, wordingsKept } from "../../store/wordings/kept.js";
import { verdictOf } from "../../wordings/changes.js";
import { type Group, groupsOf } from "../../wordings/groups.js";
import { missed } from "../../wordings/missed.js";
import { asPatch } from "../../wordings/patch.js";
import { closed } from "../../wordings/plain.js";
import { bookNow, type DeskParts, type Entry, form, newId, send } from "../entry.js";
import { deskPage, type Who } from "../frame.js";
import { type Look, lookAt, mayKeep, recentDays, vectorsOf } from "./look.js";
import { lookHtml, type Suggested, wordingForm, wordingsPage } from "./page.js";
import { readWording, typedIn } from "./read.js";

/** So many groups on the page. */
const mostGroups = 40;
/** From this probability on an entry is suggested. */
const likelyFrom = 0.05;
/** A look holds so long for keeping; after that, and after any other change, it is taken anew. */
const lookMs = 15 * 60_000;
const tookLong = "Not tried: it took too long. Try again in a minute.";

/** What the group's first message, without its gaps, would be taken for now, and the likeliest entries. */
function suggested(matcher: Matcher, group: Group): Suggested {
  const { van } = group.leader;
  const text = closed(group.leader.text);
  const type = matcher.book.vans.get(van) ?? [...matcher.book.vans.values()][0];
  if (!type) return { ...group, suggestions: [] };
  const likely = understand(matcher, { text, van: type })
    .why.entries.filter((e) => e.p >= likelyFrom)
    .map((e) => e.id);
  const ours = [...group.chosen.map(([id]) => id), ...likely].filter((id) =>
    matcher.book.entries.has(id),
  );
  const now = verdictOf(matcher, { text, van: type.id });
  return { ...group, suggestions: [...new Set(ours)].slice(0, 3), ...(now ? { now } : {}) };
}
/** Whether a hirer who wrote so again would be answered; what was told and was something else still is. */
const answeredNow = ({ now, hows }: Suggested): boolean =>
  now !== undefined && now.outcome !== "person" && now.outcome !== "choices" && !hows.has("else");

export function wordingRoutes(parts: DeskParts, { staff }: Pick<Entry, "staff">): Router {
  const router = Router();
  const { db, trial } = parts;
  const page = (res: Response, status: number, who: Who, body: Html) =>
    send(res, status, deskPage("New wordings", who, body));

  /** The latest looks, so that keeping need not look again. */
  const looks = new Map<string, Promise<Look | undefined>>();
  async function look(matcher: Matcher, wording: Taught): Promise<Look | undefined> {
    const key = JSON.stringify([wording, matcher.taught]);
    const known = looks.get(key);
    if (known) return known;
    const fresh = lookAt(matcher, wording, { db, trial, now: parts.now() });
    looks.set(key, fresh);
    setTimeout(() => looks.delete(key), lookMs).unref();
    fresh.then(
      (found) => found ?? looks.delete(key),
      () => looks.delete(key),
    );
    return fresh;
  }

  router.get(
    "/desk/wordings",
    staff(async (_req, res, who) => {
      trial.warm();
      const now = parts.now();
      const matcher = await parts.matcherNow();
      const messages = missed(await heardSince(db, after(now, -recentDays * 24 * 60)));
      const groups: Suggested[] = [];
      const texts = messages.map((m) => m.text);
      const vectors = await vectorsOf(matcher.index, texts);
      for (const group of groupsOf(messages, vectors).slice(0, 2 * mostGroups)) {
        await breathe();
        groups.push(suggested(matcher, group));
      }
      const open = groups.filter((g) => !answeredNow(g));
      const view = { book: await bookNow(parts), who, now, id: newId, days: recentDays };
      const counts = { messages: messages.length, understood: groups.length - open.length };
      const kept = await wordingsKept(db);
      return page(
        res,
        200,
        who,
        wordingsPage(open.slice(0, mostGroups), kept, { ...view, ...counts }),
      );
    }),
  );

  router.post(
    "/desk/wordings/try",
    form,
    staff(async (req, res, who) => {
      const typed = typedIn(req.body as Record<string, unknown>);
      const matcher = await parts.matcherNow();
      if (typed.entry === "") return page(res, 200, who, wordingForm(matcher, typed, who));
      const wording = readWording(typed, matcher);
      if (typeof wording === "string")
        return page(res, 400, who, wordingForm(matcher, typed, who, wording));
      const found = await look(matcher, wording);
      if (!found) return page(res, 503, who, wordingForm(matcher, typed, who, tookLong));
      const body = html`${wordingForm(matcher, typed, who)}${lookHtml(matcher.book, found, who, newId())}`;
      return page(res, 200, who, body);
    }),
  );

  router.post(
    "/desk/wordings/keep",
    form,
    staff(async (req, res, who) => {
      const body = req.body as Record<string, unknown>;
      const typed = typedIn(body);
      const matcher = await parts.matcherNow();
      // A double click: it is kept already.
      if (matcher.taught.some((t) => t.ask === typed.ask && t.entry === typed.entry))
        return res.redirect(303, "/desk/wordings#kept");
      const wording = readWording(typed, matcher);
      if (typeof wording === "string")
        return page(res, 400, who, wordingForm(matcher, typed, who, wording));
      const found = await look(matcher, wording);
      if (!found) return page(res, 503, who, wordingForm(matcher, typed, who, tookLong));
      const may = mayKeep(found);
      if (may === "no" || (may === "look" && body["seen"] !== "yes")) {
        const wrong = "Not kept: look at what would get worse, further down.";
        const again = html`${wordingForm(matcher, typed, who, wrong)}${lookHtml(matcher.book, found, who, newId())}`;
        return page(res, 409, who, again);
      }
      await actOnWording(db, { does: "keep", ...wording, by: who.contact, at: parts.now() });
      return res.redirect(303, "/desk/wordings#kept");
    }),
  );

  router.post(
    "/desk/wordings/drop",
    form,
    staff(async (req, res, who) => {
      const { ask, entry } = typedIn(req.body as Record<string, unknown>);
      await actOnWording(db, { does: "drop", ask, entry, by: who.contact, at: parts.now() });
      return res.redirect(303, "/desk/wordings#kept");
    }),
  );

  router.get(
    "/desk/wordings/patch",
    staff(async (_req, res) => {
      const { entries, firm } = parts.book;
      const kept = (await wordingsKept(db)).filter(
        (k) => entries.has(k.entry) && !entries.get(k.entry)?.asks.includes(k.ask),
      );
      const name = `desk-${dayOf(parts.now(), firm.zone)}`;
      return res
        .set({
          "Cache-Control": "no-store",
          "Content-Disposition": `attachment; filename="${name}.patch"`,
        })
        .type("text/x-patch; charset=utf-8")
        .send(asPatch(kept, `knowledge/asks/${name}.yaml`));
    }),
  );
  return router;
}
