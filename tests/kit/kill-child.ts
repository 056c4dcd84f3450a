/**
 * A house in a process of its own, to be killed in the middle: files arrivals as fast as it can, prints the
 * key of each one that is stored, and writes every message that leaves into a ledger file.
 * Arguments: database file or address, ledger file, number of the first arrival, how many to file (else no end).
 */
import { appendFileSync, writeSync } from "node:fs";
import { setTimeout as pause } from "node:timers/promises";
import { instantOf } from "../../src/calendar.js";
import type { Door } from "../../src/channels/door.js";
import { openHouse } from "../../src/house.js";
import { booking, houseParts, said } from "./small-house.js";

/** Everything that left, one key a line. */
export const ledgerDoor = (channel: Door["channel"], ledger: string): Door => ({
  channel,
  async send(_send, key) {
    // Some time on the wire, so that a kill finds messages under way.
    await pause(2);
    appendFileSync(ledger, `${key}\n`);
    return { kind: "sent" };
  },
});

const [, script, dbFile, ledger, first, count = "Infinity"] = process.argv;
if (script?.includes("kill-child") && dbFile && ledger) {
  const house = await openHouse({
    ...houseParts,
    clock: { now: () => instantOf(Date.now()) },
    dbFile,
    beatMs: 300,
    doors: [ledgerDoor("telegram", ledger), ledgerDoor("hook", ledger)],
  });
  house.start();
  await house.makeHire(booking("h1"), "booked:1");
  await house.makeHire(booking("h2"), "booked:2");
  for (let n = Number(first); n < Number(first) + Number(count); n++) {
    const arrival = said(
      n % 9 === 0 ? "danger" : n % 5 === 0 ? "later 0.001" : `say ${n}`,
      n,
      n % 2 === 0 ? "h1" : "h2",
    );
    await house.file(arrival);
    writeSync(1, `${arrival.key}\n`);
    await pause(1);
  }
}
