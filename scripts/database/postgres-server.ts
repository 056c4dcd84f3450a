/**
 * A real PostgreSQL server for tests, torture and bench: a throwaway cluster from the machine's own binaries, or
 * the one that TEST_DATABASE_URL names (its user may create databases). Without either, tests say so and are skipped.
 */
import { execFileSync, spawn } from "node:child_process";
import { chownSync, existsSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import pg from "pg";

export type Server = {
  /** Makes an empty database; returns its address. */
  database(): Promise<string>;
  /** Empties a database that nobody uses. */
  empty(url: string): Promise<void>;
  close(): Promise<void>;
};

/** Where the server's programs are: the newest that the system's packages put there, else on the path. */
function programs(): string | undefined {
  const packaged = "/usr/lib/postgresql";
  const versions = existsSync(packaged) ? readdirSync(packaged).map(Number) : [];
  const folders = [
    ...versions.sort((a, b) => b - a).map((v) => join(packaged, String(v), "bin")),
    ...(process.env["PATH"] ?? "").split(delimiter),
  ];
  return folders.find((f) => existsSync(join(f, "initdb")) && existsSync(join(f, "postgres")));
}

/** The server refuses to run as root; its own user then runs it. */
function runsAs(): { uid?: number; gid?: number } {
  if (process.getuid?.() !== 0) return {};
  const id = (flag: string) => Number(execFileSync("id", [flag, "postgres"], { encoding: "utf8" }));
  return { uid: id("-u"), gid: id("-g") };
}

/** A port of 127.0.0.1 that nobody has. */
export const freePort = (): Promise<number> =>
  new Promise((done) => {
    const probe = createServer().listen(0, "127.0.0.1", () => {
      const address = probe.address();
      probe.close(() => done(typeof address === "object" && address ? address.port : 0));
    });
  });

async function startCluster(bin: string): Promise<{ url: string; stop(): Promise<void> }> {
  const as = runsAs();
  const folder = mkdtempSync(join(tmpdir(), "passing-place-postgres-"));
  if (as.uid !== undefined && as.gid !== undefined) chownSync(folder, as.uid, as.gid);
  const data = join(folder, "data");
  const how = { ...as, cwd: folder, stdio: "ignore" as const };
  const first = ["-D", data, "-N", "--no-locale", "-E", "UTF8", "-U", "tests", "-A", "trust"];
  execFileSync(join(bin, "initdb"), first, how);
  const port = await freePort();
  const flags = ["-D", data, "-p", String(port), "-h", "127.0.0.1", "-k", ""];
  // The shell ends the server when our end of its input closes, so none outlives a test run that is killed.
  const child = spawn(
    "sh",
    ["-c", '"$@" & cat >/dev/null; kill -QUIT $!; wait $!', "sh", join(bin, "postgres"), ...flags],
    { ...how, stdio: ["pipe", "ignore", "ignore"] },
  );
  const gone = new Promise<void>((done) => child.once("exit", () => done()));
  return {
    url: `postgres://tests@127.0.0.1:${port}/postgres`,
    async stop() {
      child.stdin?.end();
      await gone;
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Runs one command; waits up to 15 s for a server that is just starting. */
async function command(url: string, text: string): Promise<void> {
  for (let tries = 0; ; tries++) {
    const client = new pg.Client({ connectionString: url });
    try {
      await client.connect();
      await client.query(text);
      return;
    } catch (error) {
      const code = error instanceof Error && "code" in error ? error.code : undefined;
      if (tries >= 150 || !(code === "ECONNREFUSED" || code === "57P03")) throw error;
      await pause(100);
    } finally {
      await client.end().catch(() => {});
    }
  }
}

/** Starts the server, or gives undefined and says why the tests on it are skipped. */
export async function openServer(): Promise<Server | undefined> {
  const given = process.env["TEST_DATABASE_URL"];
  const bin = programs();
  if (!given && !bin) {
    console.log("PostgreSQL: neither its programs nor TEST_DATABASE_URL are there; tests skipped");
    return undefined;
  }
  const cluster = given || !bin ? undefined : await startCluster(bin);
  const root = given ?? cluster?.url ?? "";
  const made: string[] = [];
  return {
    async database() {
      const name = `passing_place_${process.pid}_${Date.now().toString(36)}_${made.length}`;
      await command(root, `create database ${name} template template0`);
      made.push(name);
      const url = new URL(root);
      url.pathname = name;
      return url.href;
    },
    empty: (url) => command(url, "drop schema public cascade; create schema public"),
    async close() {
      if (cluster) return cluster.stop();
      for (const name of made) await command(root, `drop database if exists ${name} with (force)`);
    },
  };
}
