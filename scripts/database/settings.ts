/** What the commands on a database share: its settings, as the service reads them, and how they end. */
import { existsSync } from "node:fs";
import { join } from "node:path";
import { readDatabase } from "../../src/settings.js";

/** Says what is wrong in one line, and ends. */
export function give(line: string): never {
  console.error(line);
  process.exit(1);
}

/** The database that the service has: from the environment, which wins over .env. @throws SETTING_WRONG */
export function databaseSettings(): ReturnType<typeof readDatabase> {
  const env = join(process.cwd(), ".env");
  if (existsSync(env)) process.loadEnvFile(env);
  return readDatabase(process.env);
}

/** Its file; ends where it is a server, which has tools of its own. @throws SETTING_WRONG */
export function databaseFile(): string {
  const { file, url } = databaseSettings();
  if (url !== undefined)
    give("DATABASE_URL is set: back up and restore that database with pg_dump and pg_restore");
  return file;
}
