/** The ledger of what the clients sent and saw, against what the database holds. */
import { atOnceMost } from "../../src/rounds/loops.js";
import type { Db } from "../../src/store/tables.js";
import type { Ledger } from "./clients.js";
import { type Accepted, idOf } from "./shaky-bot-api.js";
import type { UnderWay } from "./under-way.js";

export type Line = { what: string; of: number; wrong: number; first?: string };

type Seen = {
  ledger: Ledger;
  accepted: readonly Accepted[];
  /** Of each kill. */
  underWay: readonly (readonly UnderWay[])[];
  botId: string;
  now: number;
};

const line = (what: string, of: number, wrong: readonly string[]): Line => ({
  what,
  of,
  wrong: wrong.length,
  ...(wrong[0] === undefined ? {} : { first: wrong[0] }),
});
const counted = (keys: Iterable<string>): Map<string, number> => {
  const found = new Map<string, number>();
  for (const key of keys) found.set(key, (found.get(key) ?? 0) + 1);
  return found;
};

/** Every check; `wrong` above 0 is a loss, a double, a disorder or a delay. */
export async function check(
  db: Db,
  { ledger, accepted, underWay, botId, now }: Seen,
): Promise<Line[]> {
  const arrivals = await db.selectFrom("arrivals").select(["key", "lane", "state"]).execute();
  const stateOf = new Map(arrivals.map((a) => [a.key, a.state]));
  const keyOf = (update: number) => `tg:${botId}:${update}`;
  const lost = ledger.taken.map((t) => keyOf(t.update)).filter((key) => !stateOf.has(key));
  const undone = arrivals.filter((a) => a.state !== "done").map((a) => `${a.key} is ${a.state}`);

  const events = await db
    .selectFrom("events")
    .select(["lane", "n", "kind", "more"])
    .orderBy("lane")
    .orderBy("n")
    .execute();
  const inKeys = events
    .filter((e) => e.kind === "in")
    .map((e) => {
      const { arrival = "", tap } = JSON.parse(e.more) as { arrival?: string; tap?: string };
      return { key: arrival, tapped: tap !== undefined };
    });
  const doubled = [...counted(inKeys.map((e) => e.key))].filter(([, n]) => n > 1).map(([k]) => k);
  const gaps: string[] = [];
  const last = new Map<string, number>();
  for (const { lane, n } of events) {
    if (n !== (last.get(lane) ?? 0) + 1) gaps.push(`${lane} ${n}`);
    last.set(lane, n);
  }

  const chatOf = new Map(ledger.taken.map((t) => [keyOf(t.update), t.chat]));
  const disorder: string[] = [];
  const latest = new Map<string, number>();
  // Words of one chat, in the order of the log; taps go beside them, as in real life.
  for (const { key, tapped } of inKeys) {
    const chat = chatOf.get(key);
    const update = Number(key.split(":")[2]);
    if (chat === undefined || tapped) continue;
    if (update < (latest.get(chat) ?? 0)) disorder.push(key);
    latest.set(chat, update);
  }

  const rows = await db
    .selectFrom("sends")
    .select(["key", "channel", "to_addr", "body", "state"])
    .execute();
  const textOf = (body: string) => (JSON.parse(body) as { message: { text: string } }).message.text;
  const telegram = rows
    .filter((r) => r.channel === "telegram")
    .map((r) => ({ ...r, id: idOf({ chat: r.to_addr, text: textOf(r.body) }) }));
  const want = counted(telegram.map((r) => r.id));
  const sent = counted(telegram.filter((r) => r.state === "sent").map((r) => r.id));
  const got = counted(accepted.map(idOf));
  const unsure = counted([
    ...accepted.filter((a) => a.unsure).map(idOf),
    ...underWay.flat().map((one) => one.id),
  ]);
  const taken = underWay.map((kill) => kill.flatMap((one) => one.ms ?? []));
  const longest = Math.max(0, ...taken.flat());
  const many = taken.filter((kill) => kill.length > atOnceMost).map((kill) => `${kill.length}`);
  const say = (id: string) => id.replaceAll("\n", " ").slice(0, 100);
  const unsent = [...sent].filter(([id, n]) => (got.get(id) ?? 0) < n).map(([id]) => say(id));
  const twice = [...got]
    .filter(([id, n]) => n > (want.get(id) ?? 0) + (unsure.get(id) ?? 0))
    .map(([id, n]) => `${n} times: ${say(id)}`);
  const waiting = rows.filter((r) => r.state === "waiting").map((r) => r.key);

  const callouts = await db.selectFrom("callouts").selectAll().execute();
  const dues = await db.selectFrom("dues").select(["lane", "key", "at", "kind"]).execute();
  const silent = callouts
    .filter(
      (c) =>
        c.state === "nobody-yet" &&
        !dues.some((d) => d.lane === `hire:${c.hire}` && d.kind === "next-contact"),
    )
    .map((c) => `${c.hire} ${c.n}`);
  const laneOf = new Map(arrivals.map((a) => [a.key, a.lane]));
  const dangers = ledger.taken.filter((t) => t.danger);
  const unheard = dangers
    .filter((t) => {
      const lane = laneOf.get(keyOf(t.update));
      return !callouts.some((c) => `hire:${c.hire}` === lane && c.severity === "danger");
    })
    .map((t) => keyOf(t.update));
  const late = dues.filter((d) => d.at < now - 5_000).map((d) => `${d.lane} ${d.key}`);
  const states = await db.selectFrom("lanes").select(["lane", "state"]).execute();
  const reminders = states.flatMap(({ lane, state }) =>
    remindersOf(state).map((key) => `${lane} ${key}`),
  );
  const remindedTwice = [...counted(reminders)].filter(([, n]) => n > 1).map(([key]) => key);

  return [
    line("arrivals acknowledged and lost", ledger.taken.length, lost),
    line("arrivals not done at the end", arrivals.length, undone),
    line("arrivals acted on twice", inKeys.length, doubled),
    line("trip log: numbers missing or doubled", events.length, gaps),
    line("words of a chat out of order", inKeys.length, disorder),
    line("sends marked sent that never arrived", rows.length, unsent),
    line("messages doubled though the wire was clear", accepted.length, twice),
    line(`taken, then killed: not written down for ${longest} ms`, taken.flat().length, many),
    line("sends still waiting at the end", rows.length, waiting),
    line("dangers without a call-out", dangers.length, unheard),
    line("open call-outs without person or due", callouts.length, silent),
    line("dues late at the end", dues.length, late),
    line("reminders doubled", reminders.length, remindedTwice),
    line(
      "answers of 5xx but 503",
      ledger.taken.length + ledger.refused,
      Array(ledger.broken).fill("5xx"),
    ),
  ];
}

function remindersOf(state: string): string[] {
  const found = JSON.parse(state) as { hire?: { sentReminders?: { rule: string; due: number }[] } };
  return (found.hire?.sentReminders ?? []).map((s) => `${s.rule} ${s.due}`);
}
