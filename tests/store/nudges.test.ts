/** Word between processes where the server cannot be had. */
import { once } from "node:events";
import { type AddressInfo, createServer } from "node:net";
import { expect, it } from "vitest";
import { postgresNudges } from "../../src/store/shared/nudges.js";
import type { Db } from "../../src/store/tables.js";

it("a connection that cannot be had is told once, however often it is tried, and does not hold up the start", async () => {
  const server = createServer((socket) => socket.destroy()).listen(0, "127.0.0.1");
  await once(server, "listening");
  const { port } = server.address() as AddressInfo;
  const lost: unknown[] = [];
  const nudges = postgresNudges({} as Db, `postgres://nobody@127.0.0.1:${port}/none`, "me");
  const heard = { events: () => {}, work: () => {}, gap: () => {} };
  await nudges.listen({ ...heard, lost: (error) => lost.push(error) });
  for (let tried = 0; tried < 3; tried++) await once(server, "connection");
  await nudges.close();
  server.close();
  expect(lost).toEqual([expect.any(Error)]);
});
