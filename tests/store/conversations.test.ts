/** Every conversation script tells the same story, word for word, on PostgreSQL. */
import { afterAll, describe, it } from "vitest";
import { openServer } from "../kit/postgres.js";
import { scripts, tells } from "../kit/tells.js";

const server = await openServer();
const database = (await server?.database()) ?? "";
afterAll(() => server?.close());

describe.skipIf(!server)("conversation scripts on PostgreSQL", () => {
  it.each(scripts)("%s", { timeout: 60_000 }, async (file) => {
    await server?.empty(database);
    await tells(file, database);
  });
});
