/**
 * Conversation scripts tell the same story, word for word, on PostgreSQL: those that start again or hand over,
 * and every fourth of the others; all of them where RUNS asks for more than the usual.
 */
import { afterAll, describe, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { linesOf, scripts, tells } from "../kit/tells.js";

const server = await openServer();
const database = (await server?.database()) ?? "";
afterAll(() => server?.close());

const all = Number(process.env["RUNS"] ?? 0) > 1000;
const some = scripts.filter(
  (file, i) => all || i % 4 === 0 || /^(\[restart\]|firm: shifts)$/m.test(linesOf(file)),
);

describe.skipIf(!server)("conversation scripts on PostgreSQL", () => {
  it.each(some)("%s", { timeout: 60_000 }, async (file) => {
    await server?.empty(database);
    await tells(file, database);
  });
});
