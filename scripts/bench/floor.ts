/**
 * The least that any answering service does: Express takes an update, grammY reads it, it is stored for good,
 * and grammY sends a reply. A process of its own; says on which port it listens.
 *   node dist/scripts/bench/floor.js DATABASE API_ROOT TOKEN SECRET
 */
import type { AddressInfo } from "node:net";
import Database from "better-sqlite3";
import express from "express";
import { Bot, webhookCallback } from "grammy";
import pg from "pg";
import { isAddress } from "../../src/store/dialect.js";

type Insert = (key: string, body: string) => Promise<unknown>;

/** Each insert is on the disk once it returns, as the service's are. */
function openSqlite(file: string): Insert {
  const db = new Database(file);
  db.pragma("journal_mode = wal");
  db.pragma("synchronous = 2");
  db.exec("create table if not exists arrivals (key text primary key, body text not null) strict");
  const insert = db.prepare("insert or ignore into arrivals values (?, ?)");
  return async (key, body) => insert.run(key, body);
}

async function openPostgres(url: string): Promise<Insert> {
  const pool = new pg.Pool({ connectionString: url, max: 12 });
  await pool.query("create table if not exists floor (key text primary key, body text not null)");
  const text = "insert into floor values ($1, $2) on conflict do nothing";
  return (key, body) => pool.query({ name: "insert", text, values: [key, body] });
}

const [place = "", apiRoot = "", token = "", secret = ""] = process.argv.slice(2);
const insert = isAddress(place) ? await openPostgres(place) : openSqlite(place);
const bot = new Bot(token, { client: { apiRoot } });
bot.on("message:text", async (context) => {
  await insert(String(context.update.update_id), JSON.stringify(context.update));
  await context.reply("Thank you: somebody reads this.");
});
await bot.init();
const app = express();
app.use(express.json());
app.post("/telegram", webhookCallback(bot, "express", { secretToken: secret }));
const server = app.listen(0, "127.0.0.1", () =>
  console.log((server.address() as AddressInfo).port),
);
process.on("SIGTERM", () => process.exit(0));
