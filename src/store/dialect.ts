/** What differs between the database engines: the one shape that tables, queries and rounds may know. */
import {
  type ColumnDefinitionBuilder,
  type CreateTableBuilder,
  type Dialect,
  PostgresAdapter,
  type SelectQueryBuilder,
  sql,
} from "kysely";
import type { Db } from "./tables.js";

/** What the tables must know of an engine. engines/sqlite.ts and engines/postgres.ts make one each. */
export type Engine = {
  name: "sqlite" | "postgres";
  dialect: Dialect;
  /** Column type of whole numbers up to 2^53 (instants, counters). */
  whole: "integer" | "bigint";
  /** Column type of fractions. */
  fraction: "real" | "double precision";
  /** Makes a column number itself, from 1, in the order of inserting. */
  counts(column: ColumnDefinitionBuilder): ColumnDefinitionBuilder;
  /** Ends every `create table`. */
  finish<T extends string, C extends string>(
    table: CreateTableBuilder<T, C>,
  ): CreateTableBuilder<T, C>;
  /** Runs while no other process brings the same database up to date. */
  alone<T>(db: Db, work: (db: Db) => Promise<T>): Promise<T>;
  /** After each migration: gives columns of the other engine's types the right ones. */
  settle(tx: Db): Promise<void>;
};

/** Whether several processes may work on the same rows at this moment. */
export const isShared = (db: Db): boolean => db.getExecutor().adapter instanceof PostgresAdapter;

/**
 * Claims the rows that a query finds until the transaction ends, and leaves out those that another
 * process has claimed. With one process there is nobody to claim them from.
 */
export function claiming<D, T extends keyof D, O>(
  tx: Db,
  query: SelectQueryBuilder<D, T, O>,
): SelectQueryBuilder<D, T, O> {
  return isShared(tx) ? query.forUpdate().skipLocked() : query;
}

/**
 * The order of a queue over all lanes, oldest first: `seq` as migrations/0011-queues.ts has it in an index for
 * each state, and nowhere else.
 */
export const inQueue = sql<number>`seq + 0`;

/** Whether a place names a PostgreSQL database (`postgres://…`) and no file. */
export const isAddress = (where: string): boolean => /^postgres(ql)?:\/\//i.test(where);
