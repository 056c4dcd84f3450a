/** The service's processes on one database: launched, killed and launched again, and what each kill left on the wire. */
import { setTimeout as pause } from "node:timers/promises";
import { beats } from "../../src/store/shared/instances.js";
import { freePort } from "../database/postgres-server.js";
import { type Instance, kill, ready, start, stop } from "./instances.js";
import type { Accepted } from "./shaky-bot-api.js";
import { type UnderWay, underWayAt } from "./under-way.js";
import { withStore } from "./world.js";

type Parts = {
  many: number;
  /** The database: a file or an address. */
  place: string;
  /** Whether several processes may have it. */
  shared: boolean;
  env: Readonly<Record<string, string>>;
  accepted: readonly Accepted[];
};

export class Fleet {
  /** Of each kill. */
  readonly underWay: UnderWay[][] = [];
  readonly #parts: Parts;
  readonly #ports: readonly number[];
  readonly #instances: Instance[] = [];
  /** Where processes share a database, all that there ever were, by what they call themselves. */
  readonly #met = new Map<string, Instance>();

  private constructor(parts: Parts, ports: readonly number[]) {
    this.#parts = parts;
    this.#ports = ports;
  }

  /** Finds a port for each; none is started yet. */
  static async open(parts: Parts): Promise<Fleet> {
    return new Fleet(parts, await Promise.all(Array.from({ length: parts.many }, freePort)));
  }

  /** Where the service answers now; none while it is down. */
  doors = (): string[] => this.#instances.filter((i) => i.up).map((i) => i.url);

  async launchAll(): Promise<void> {
    for (const i of this.#ports.keys()) await this.#launch(i);
  }

  /** Kills one by chance and launches it again; now and then it dies once more before it is up. */
  async killOne(random: () => number): Promise<void> {
    const i = Math.floor(random() * this.#parts.many);
    const instance = this.#instances[i];
    if (!instance) return;
    await this.#kill(instance);
    if (random() < 0.1) {
      const early = this.#start(i);
      await pause(random() * 1_000);
      await this.#kill(early);
    }
    await this.#launch(i);
  }

  /** Waits until the dead are found, two minutes at most: until then what they had under way holds back what comes after it. */
  async deadFound(): Promise<void> {
    const { place, shared, many } = this.#parts;
    for (let n = 0; shared && n < 120 && (await withStore(place, beats)).length > many; n++)
      await pause(1_000);
  }

  /** Asks all to end; how many ended badly. */
  async stop(): Promise<number> {
    const codes = await Promise.all(this.#instances.map(stop));
    return codes.filter((code) => code !== 0).length;
  }

  /** Ends whatever still runs. */
  async end(): Promise<void> {
    for (const instance of this.#instances) instance.child.kill("SIGKILL");
    await Promise.all(this.#instances.map((i) => i.gone));
  }

  #start = (i: number): Instance => start(this.#ports[i] ?? 0, this.#parts.env);

  async #launch(i: number): Promise<void> {
    const instance = this.#start(i);
    this.#instances[i] = instance;
    await ready(instance);
    await this.#meet(instance);
  }

  async #meet(instance: Instance): Promise<void> {
    const { place, shared } = this.#parts;
    if (!shared) return;
    for (const { id } of await withStore(place, beats))
      if (!this.#met.has(id)) this.#met.set(id, instance);
  }

  async #kill(instance: Instance): Promise<void> {
    const { place, accepted } = this.#parts;
    const at = Date.now();
    await kill(instance);
    const others = [...this.#met].flatMap(([id, one]) => (one === instance ? [] : id));
    const left = await withStore(place, (db) => underWayAt(db, at, accepted, new Set(others)));
    this.underWay.push(left);
    await this.#meet(instance);
  }
}
