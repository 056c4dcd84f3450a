/** The process: settings → knowledge → the service; closed on SIGTERM within 5 s. */
import { existsSync } from "node:fs";
import { join } from "node:path";
import { Fault } from "./faults.js";
import { openBook } from "./knowledge/read.js";
import { faultFields, openLog } from "./log.js";
import { openMatcher } from "./matcher-cache.js";
import { openService } from "./open-service.js";
import { readSettings } from "./settings.js";

async function main(): Promise<void> {
  // The environment wins over the file.
  const file = join(process.cwd(), ".env");
  if (existsSync(file)) process.loadEnvFile(file);
  const book = openBook();
  const contacts = Object.entries(book.firm.contacts)
    .filter(([, contact]) => contact.desk)
    .map(([id]) => id);
  const settings = readSettings(process.env, contacts);
  const log = openLog(settings.logLevel);
  const service = await openService(settings, { book, matcher: openMatcher(book), log });
  let closing = false;
  const close = (): void => {
    if (closing) process.exit(1);
    closing = true;
    // A database that does not answer keeps nobody waiting: what is not finished is taken up later.
    setTimeout(() => process.exit(1), 5_000).unref();
    service.close().then(
      () => process.exit(0),
      (error: unknown) => {
        log.error("close failed", faultFields(error));
        process.exit(1);
      },
    );
  };
  process.on("SIGTERM", close);
  process.on("SIGINT", close);
}

main().catch((error: unknown) => {
  // A Fault's message is meant for people; anything else only by its code.
  console.error(
    error instanceof Fault
      ? error.message
      : `the service could not start (${faultFields(error).code ?? "unknown"})`,
  );
  process.exit(1);
});
