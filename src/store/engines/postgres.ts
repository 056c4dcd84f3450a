/** PostgreSQL through pg: one database, as many processes as wished. */
import { PostgresDialect, type PostgresPoolClient, sql } from "kysely";
import pg from "pg";
import { Fault } from "../../faults.js";
import type { Engine } from "../dialect.js";
import type { Db } from "../tables.js";

/** The oldest server that the project is tried with. */
const oldestServer = 15;
/** Connections of one process; a server allows 100 unless told otherwise, so about eight processes fit. */
const poolMost = 12;
/** Any fixed number: whoever holds this lock brings the tables up to date. */
const migrationLock = 7_227_001;

/**
 * Settings of every connection. A process that is frozen in the middle of a turn must not keep its lane
 * for ever: the server ends a transaction that nobody goes on with.
 */
const settings = `select set_config('synchronous_commit', 'on', false),
  set_config('idle_in_transaction_session_timeout', '30s', false), set_config('lock_timeout', '20s', false)`;

/** `bigint` as a number; everything of ours fits (instants, counters). @throws STORE_WRONG where it does not */
function readWhole(text: string): number {
  const n = Number(text);
  if (!Number.isSafeInteger(n))
    throw new Fault("STORE_WRONG", `a whole number in the database is beyond 2^53: ${text}`);
  return n;
}

const types = new pg.TypeOverrides();
types.setTypeParser(pg.types.builtins.INT8, readWhole);

/** Where a connection goes, in words that hold no password. */
export function placeOf(url: string): string {
  const { hostname, pathname } = new URL(url);
  return `${decodeURIComponent(hostname) || "this machine"}${pathname}`;
}

/** What every connection is opened with. A server that has gone without a word is noticed by a query's time limit. */
const connectionTo = (url: string): pg.ClientConfig => ({
  connectionString: url,
  types,
  application_name: "passing-place",
  connectionTimeoutMillis: 5_000,
  query_timeout: 60_000,
  keepAlive: true,
});

/** A connection of its own, opened and ended by the caller; `what` it is for is seen at the server. */
export const clientFor = (url: string, what: string): pg.Client =>
  new pg.Client({ ...connectionTo(url), application_name: `passing-place ${what}` });

/** Text in PostgreSQL holds every letter but U+0000; SQLite keeps that one too. */
const storable = (value: unknown): unknown =>
  typeof value === "string" && value.includes("\0") ? value.replaceAll("\0", "\ufffd") : value;

/** Opens a pool of connections as an engine. It connects at the first query. */
export function postgres(url: string): Engine {
  const pool = new pg.Pool({ ...connectionTo(url), max: poolMost });
  // A connection that breaks while nobody uses it: the next query opens another one.
  pool.on("error", () => {});
  // One that breaks in use: its query fails, or the next, and it goes with its release. Unheard, it would end the process.
  pool.on("connect", (client) => client.on("error", () => {}));
  const known = new WeakMap<pg.PoolClient, PostgresPoolClient>();
  const connect = async (): Promise<PostgresPoolClient> => {
    const client = await pool.connect();
    const before = known.get(client);
    if (before) return before;
    try {
      await client.query(settings);
    } catch (error) {
      client.release(true);
      throw error;
    }
    let broken = false;
    const query = async (text: string, values: readonly unknown[] = []) => {
      try {
        return await client.query(text, values.map(storable));
      } catch (error) {
        // Not the server's own answer: what comes next on this connection is anybody's guess.
        if (!(error instanceof pg.DatabaseError)) broken = true;
        throw error;
      }
    };
    const now = {
      query: query as unknown as PostgresPoolClient["query"],
      release: () => client.release(broken),
    };
    known.set(client, now);
    return now;
  };
  return {
    name: "postgres",
    dialect: new PostgresDialect({ pool: { connect, end: () => pool.end() } }),
    whole: "bigint",
    fraction: "double precision",
    counts: (column) => column.primaryKey().generatedByDefaultAsIdentity(),
    finish: (table) => table,
    alone: (db, work) =>
      db.connection().execute(async (one) => {
        await sql`select pg_advisory_lock(${migrationLock})`.execute(one);
        try {
          return await work(one);
        } finally {
          await sql`select pg_advisory_unlock(${migrationLock})`.execute(one);
        }
      }),
    settle: settleColumns,
  };
}

/**
 * A column made as "integer", "real" or plain "text" gets the range, precision and order that it has in
 * SQLite: 64 bits, and text compared by its bytes, whatever the language of the server.
 */
async function settleColumns(tx: Db): Promise<void> {
  const { rows } = await sql<{ table_name: string; column_name: string; data_type: string }>`
    select table_name, column_name, data_type from information_schema.columns
    where table_schema = current_schema() and (data_type in ('integer', 'real')
      or (data_type = 'text' and collation_name is distinct from 'C'))`.execute(tx);
  const wide: Record<string, string> = {
    integer: "bigint",
    real: "double precision",
    text: 'text collate "C"',
  };
  for (const { table_name, column_name, data_type } of rows)
    await sql`alter table ${sql.table(table_name)} alter column ${sql.ref(column_name)} type ${sql.raw(wide[data_type] ?? data_type)}`.execute(
      tx,
    );
}

/** What a person should know of a server that works all the same; each in one line. @throws STORE_WRONG when it is too old */
export async function examineServer(db: Db, now: number): Promise<string[]> {
  const { rows } = await sql<{ version: number; fsync: string; at: number }>`
    select current_setting('server_version_num')::bigint / 10000 as version, current_setting('fsync') as fsync,
      (extract(epoch from clock_timestamp()) * 1000)::bigint as at`.execute(db);
  const found = rows[0];
  if (!found || found.version < oldestServer)
    throw new Fault(
      "STORE_WRONG",
      `the database server is PostgreSQL ${found?.version ?? "unknown"}; ${oldestServer} or newer is needed`,
    );
  const offS = Math.round(Math.abs(found.at - now) / 1000);
  return [
    ...(offS > 60 ? [`the clocks of this machine and of the database differ by ${offS} s`] : []),
    ...(found.fsync === "on" ? [] : ["the database runs without fsync: a power cut loses data"]),
  ];
}
