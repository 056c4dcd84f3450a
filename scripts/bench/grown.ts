/** A database that has grown: hires on the road, stored messages, what piled up while the service stood still. */
import { setTimeout as pause } from "node:timers/promises";
import { sql } from "kysely";
import type { Db } from "../../src/store/tables.js";
import { withStore } from "../torture/world.js";
import { median } from "./load.js";
import { memoryOf, questions, type Rig } from "./rig.js";

type Row = (what: string, ...cells: string[]) => void;

/** Numbers from..to as a table `n(i)`. */
const numbers = (from: number, to: number) =>
  sql`with recursive n(i) as (select ${sql.lit(from)} union all select i + 1 from n where i < ${sql.lit(to)})`;

/** Hires like the first one of the rig, as it stands in the tables, under ids of their own. */
async function addHires(db: Db, from: number, to: number): Promise<void> {
  const id = sql`'g' || n.i`;
  await sql`insert into lanes (lane, version, state) ${numbers(from, to)}
    select 'hire:' || ${id}, version, replace(replace(state, '"t1"', '"' || ${id} || '"'), 'hire:t1', 'hire:' || ${id})
    from n, lanes where lane = 'hire:t1'`.execute(db);
  await sql`insert into hires ${numbers(from, to)}
    select ${id}, 'hire:' || ${id}, registration, van_type, surname, booker, pickup_at, return_at, zone, region, status, return_record_at
    from n, hires where id = 't1'`.execute(db);
}

/** Stored messages of those hires, a hundred each: the arrival, what was said, the answer and its send. */
async function addMessages(db: Db, from: number, to: number, hires: number): Promise<void> {
  const lane = sql`'hire:g' || (n.i / 100 % ${sql.lit(hires)} + 1)`;
  const key = sql`'old:' || n.i`;
  const now = sql.lit(Date.now() - 86_400_000);
  const text = sql.lit("how do I turn the fridge on, and does it run while we drive ".repeat(2));
  await sql`insert into arrivals (key, lane, received_at, body, state, done_at, because) ${numbers(from, to)}
    select ${key}, ${lane}, ${now}, '{"text":"' || ${text} || '"}', 'done', ${now}, '["told fridge-use"]' from n`.execute(
    db,
  );
  for (const [kind, odd] of [
    ["in", 1],
    ["out", 2],
  ] as const)
    await sql`insert into events (lane, n, at, kind, person, channel, who, text, more) ${numbers(from, to)}
      select ${lane}, 1000 + 2 * n.i + ${sql.lit(odd)}, ${now}, ${sql.lit(kind)}, 'p1', 'telegram', 'Ann', ${text}, '{}' from n`.execute(
      db,
    );
  await sql`insert into sends (key, lane, channel, to_addr, body, safety, state, made_at, tries, unsure, next_at, sent_at) ${numbers(from, to)}
    select ${key} || '#1', ${lane}, 'telegram', 'g' || n.i, '{"text":"' || ${text} || '"}', 0, 'sent', ${now}, 1, 0, ${now}, ${now} from n`.execute(
    db,
  );
}

/** What a stop of some hours leaves behind: late reminders, and messages to as many chats, all due. */
async function pileUp(db: Db, dues: number, sends: number): Promise<void> {
  const late = sql.lit(Date.now() - 3 * 3_600_000);
  const matter = sql.lit(JSON.stringify({ kind: "reminder", keys: [] }));
  await sql`insert into dues (lane, key, at, generation, kind, matter, set_by) ${numbers(1, dues)}
    select 'hire:g' || n.i, 'reminders', ${late}, 999, 'reminder', ${matter}, 0 from n`.execute(db);
  const message = JSON.stringify({
    person: "p1",
    to: { channel: "telegram", to: "70001" },
    message: { text: "Good evening: the gas off, please, before you drive." },
    safety: false,
  });
  await sql`insert into sends (key, lane, channel, to_addr, body, safety, state, made_at, tries, unsure, next_at) ${numbers(1, sends)}
    select 'pile:' || n.i || '#1', 'hire:g' || n.i, 'telegram', cast(n.i as text), replace(${sql.lit(message)}, '70001', cast(70000 + n.i as text)), 0, 'waiting', ${late}, 0, 0, ${late} from n`.execute(
    db,
  );
}

/** A database with one whole hire that others are copied from. */
async function withOneHire(rig: Rig, name: string): Promise<string> {
  const place = await rig.place(name);
  const one = await rig.hirers(place, 1);
  const service = await rig.service(place);
  await rig.join(service, one);
  await rig.stopService(service.pid);
  return place;
}

/** From the start of the process until it says that it is ready; then what leaves in ten seconds. */
export async function startUp(rig: Rig, row: Row, quick: boolean): Promise<void> {
  const [dues, sends] = quick ? [5_000, 500] : [100_000, 10_000];
  const place = await withOneHire(rig, "pile");
  row("start", "ready after", "memory", "left in 10 s");
  const starts: number[] = [];
  for (let n = 0; n < 3; n++) {
    const service = await rig.service(place);
    starts.push(service.readyMs);
    await rig.stopService(service.pid);
  }
  row("one hire", `${median(starts).toFixed(0)} ms`);
  await withStore(place, async (db) => {
    await addHires(db, 1, dues);
    await pileUp(db, dues, sends);
  });
  const perSecond = 25;
  const service = await rig.service(place, perSecond);
  const before = rig.botApi.accepted.length;
  await pause(10_000);
  const left = rig.botApi.accepted.length - before;
  row(
    `${dues} dues and ${sends} sends pending`,
    `${service.readyMs.toFixed(0)} ms`,
    `${memoryOf(service.pid).toFixed(0)} MB`,
    `${left} (most ${perSecond * 11})`,
  );
  await rig.stopService(service.pid);
}

/** The same flood on the same service as its database grows; against the first size. */
export async function growth(
  rig: Rig,
  row: Row,
  sizes: { seconds: number; rounds: number; hirers: number; hires: number; messages: number },
): Promise<void> {
  const place = await rig.place("growth");
  const hirers = await rig.hirers(place, sizes.hirers);
  const texts = questions("curlew");
  const how = { chats: hirers.chats, texts, ms: sizes.seconds * 1_000 };
  let hiresNow = 0;
  let messagesNow = 0;
  let first: number | undefined;
  row("as the database grows", "a second", "99 %", "processor", "to the first");
  for (const [hires, messages] of [
    [0, 0],
    [10, sizes.messages / 10],
    [sizes.hires, sizes.messages / 10],
    [sizes.hires, sizes.messages],
  ] as const) {
    await withStore(place, async (db) => {
      if (hires > hiresNow) await addHires(db, hiresNow + 1, hires);
      if (messages > messagesNow) await addMessages(db, messagesNow + 1, messages, hires);
    });
    const service = await rig.service(place);
    if (hires === 0) {
      await rig.join(service, hirers);
    } else {
      await rig.measure(service, how);
      const runs = [];
      for (let n = 0; n < sizes.rounds; n++) runs.push(await rig.measure(service, how));
      const cpu = median(runs.map((r) => r.cpuMs));
      first ??= cpu;
      row(
        `${hires} hires, ${messages} messages stored`,
        median(runs.map((r) => r.perSecond)).toFixed(0),
        `${median(runs.map((r) => r.p99)).toFixed(0)} ms`,
        `${cpu.toFixed(1)} ms`,
        (cpu / first).toFixed(2),
      );
    }
    await rig.stopService(service.pid);
    hiresNow = hires;
    messagesNow = messages;
  }
}
