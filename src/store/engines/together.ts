/**
 * Writers of an SQLite file share its fsync: whatever is ready in one turn of the event loop is committed
 * together, and each of them goes on only once that is on the disk. What stands outside a transaction and only
 * reads has a connection of its own: it waits for nobody, and sees nothing that a power cut could take back.
 */
import type Database from "better-sqlite3";
import type { CompiledQuery, DatabaseConnection, Driver, QueryResult } from "kysely";

/** Statements kept ready for use on each connection; a list of other length makes another statement. */
const preparedMost = 500;

/** The transaction that is open on the file, for as many writers as come while it is. */
class Group {
  #end!: { done(): void; fail(error: unknown): void };
  /** Resolves once all of it is on the disk. */
  readonly onDisk = new Promise<void>((done, fail) => {
    this.#end = { done, fail };
  });
  constructor() {
    // Whoever wrote in it waits for it and hears; where nobody did, nobody must.
    this.onDisk.catch(() => {});
  }
  done(): void {
    this.#end.done();
  }
  fail(error: unknown): void {
    this.#end.fail(error);
  }
}

/** One database connection with its statements. */
class Connection {
  readonly raw: Database.Database;
  readonly #prepared = new Map<string, Database.Statement>();
  constructor(raw: Database.Database) {
    this.raw = raw;
  }

  #prepare({ sql, query }: CompiledQuery): Database.Statement {
    if (!/^(Select|Insert|Update|Delete)QueryNode$/.test(query.kind)) {
      // It may change the tables that the others were prepared for.
      this.#prepared.clear();
      return this.raw.prepare(sql);
    }
    const known = this.#prepared.get(sql);
    if (known) return known;
    const [oldest] = this.#prepared.keys();
    if (this.#prepared.size >= preparedMost && oldest !== undefined) this.#prepared.delete(oldest);
    const made = this.raw.prepare(sql);
    this.#prepared.set(sql, made);
    return made;
  }

  run<R>(compiled: CompiledQuery): QueryResult<R> {
    const statement = this.#prepare(compiled);
    const parameters = compiled.parameters as unknown[];
    if (statement.reader) return { rows: statement.all(parameters) as R[] };
    const { changes, lastInsertRowid } = statement.run(parameters);
    return { numAffectedRows: BigInt(changes), insertId: BigInt(lastInsertRowid), rows: [] };
  }
}

/** Lets in one at a time, in the order of coming. */
class Gate {
  readonly #waiting: (() => void)[] = [];
  #taken = false;
  async enter(): Promise<void> {
    if (this.#taken) await new Promise<void>((done) => this.#waiting.push(done));
    this.#taken = true;
  }
  leave(): void {
    const next = this.#waiting.shift();
    if (next) next();
    else this.#taken = false;
  }
}

/** What one user of the store holds: nothing, or its part of the open group. */
class Seat implements DatabaseConnection {
  readonly #driver: TogetherDriver;
  part: Group | undefined;
  constructor(driver: TogetherDriver) {
    this.#driver = driver;
  }
  executeQuery<R>(compiled: CompiledQuery): Promise<QueryResult<R>> {
    return this.#driver.run(this, compiled);
  }
  // biome-ignore lint/correctness/useYield: nothing of ours streams
  async *streamQuery(): AsyncIterableIterator<never> {
    throw new Error("this store does not stream");
  }
}

/** Kysely's driver. Without a reader (a database in memory has one connection) reads queue up with writes. */
export class TogetherDriver implements Driver {
  readonly #writer: Connection;
  readonly #reader: Connection | undefined;
  readonly #gate = new Gate();
  #open: Group | undefined;

  constructor(writer: Database.Database, reader?: Database.Database) {
    this.#writer = new Connection(writer);
    this.#reader = reader && new Connection(reader);
  }

  async init(): Promise<void> {}
  async acquireConnection(): Promise<Seat> {
    return new Seat(this);
  }
  async releaseConnection(): Promise<void> {}
  async destroy(): Promise<void> {
    await this.#gate.enter();
    this.#commit();
    this.#reader?.raw.close();
    this.#writer.raw.close();
    // Whoever comes later is refused by the closed connection, not kept waiting.
    this.#gate.leave();
  }

  async run<R>(seat: Seat, compiled: CompiledQuery): Promise<QueryResult<R>> {
    if (seat.part) return this.#inGroup(seat.part, () => this.#writer.run<R>(compiled));
    if (this.#reader && compiled.query.kind === "SelectQueryNode")
      return this.#reader.run<R>(compiled);
    await this.#gate.enter();
    let result: QueryResult<R>;
    let group: Group;
    try {
      group = this.#join();
      result = this.#inGroup(group, () => this.#writer.run<R>(compiled));
    } finally {
      this.#gate.leave();
    }
    await group.onDisk;
    return result;
  }

  async beginTransaction(seat: Seat): Promise<void> {
    await this.#gate.enter();
    try {
      const group = this.#join();
      this.#writer.raw.exec("savepoint part");
      seat.part = group;
    } catch (error) {
      this.#gate.leave();
      throw error;
    }
  }

  async commitTransaction(seat: Seat): Promise<void> {
    const group = this.#partOf(seat);
    this.#inGroup(group, () => this.#writer.raw.exec("release part"));
    seat.part = undefined;
    this.#gate.leave();
    await group.onDisk;
  }

  async rollbackTransaction(seat: Seat): Promise<void> {
    const group = this.#partOf(seat);
    try {
      // SQLite undoes all by itself when the disk is full or fails: there is then nothing to roll back.
      if (group === this.#open)
        this.#inGroup(group, () => this.#writer.raw.exec("rollback to part; release part"));
    } finally {
      seat.part = undefined;
      this.#gate.leave();
    }
  }

  #partOf(seat: Seat): Group {
    if (!seat.part) throw new Error("no transaction is open here");
    return seat.part;
  }

  /** The open group, or a new one that ends with this turn of the event loop. To be called inside the gate. */
  #join(): Group {
    if (this.#open) return this.#open;
    this.#writer.raw.exec("begin");
    const group = new Group();
    this.#open = group;
    setImmediate(() => void this.#end(group));
    return group;
  }

  /** Runs it as part of a group. @throws what SQLite throws; where that undid the whole group, all of it hear of it */
  #inGroup<T>(group: Group, work: () => T): T {
    try {
      if (group !== this.#open || !this.#writer.raw.inTransaction)
        throw new Error("the transaction was undone");
      return work();
    } catch (error) {
      if (group === this.#open && !this.#writer.raw.inTransaction) {
        this.#open = undefined;
        group.fail(error);
      }
      throw error;
    }
  }

  /** Waits for who is in the middle of something, and for whoever came before; then all of it goes to the disk. */
  async #end(group: Group): Promise<void> {
    await this.#gate.enter();
    if (group === this.#open) this.#commit();
    this.#gate.leave();
  }

  #commit(): void {
    const group = this.#open;
    if (!group) return;
    this.#open = undefined;
    const { raw } = this.#writer;
    try {
      raw.exec("commit");
      group.done();
    } catch (error) {
      if (raw.inTransaction) raw.exec("rollback");
      group.fail(error);
    }
  }
}
