/** Pushed hires on both engines: once by reference, all or none, in order; tokens are hashes. */
import { afterAll, describe, expect, it } from "vitest";
import { openServer } from "../../scripts/database/postgres-server.js";
import { type Content, contentOf } from "../../src/bookings/change.js";
import { after as later } from "../../src/calendar.js";
import { openHouse } from "../../src/house.js";
import { laneOf } from "../../src/lanes.js";
import { quietLog } from "../../src/log.js";
import { whoseChat } from "../../src/store/addresses/phones.js";
import { pushHires } from "../../src/store/firm/bookings.js";
import {
  makeProgramToken,
  programOf,
  programTokens,
  revokeProgramToken,
} from "../../src/store/firm/program-tokens.js";
import { allHires } from "../../src/store/hires.js";
import { findLink } from "../../src/store/tokens.js";
import { book, matcher } from "../kit/hire.js";
import { booking, noon, scriptClock, tempFile } from "../kit/small-house.js";

const server = await openServer();
const files = tempFile();
afterAll(() => server?.close());
const url = await server?.database();
const content: Content = contentOf(booking());
const longer = (days: number): Content => ({
  ...content,
  returnAt: later(content.returnAt, days * 1440),
});

describe.each([
  ["SQLite", files.file],
  ["PostgreSQL", url],
])("on %s", (_name, dbFile) => {
  it.skipIf(dbFile === undefined)(
    "a push makes, changes and repeats a hire by its reference; half of a list is never kept",
    async () => {
      const clock = scriptClock(noon);
      const house = await openHouse({
        book,
        matcher,
        clock,
        dbFile: dbFile ?? "",
        doors: [],
        log: quietLog,
      });
      const push = (reference: string, c: Content) =>
        house.pushHires([{ reference, content: c }], "Shop");
      const [made] = await push("R-1", content);
      expect(made).toMatchObject({ result: "made", links: [{ person: "p1" }] });
      const [again] = await push("R-1", content);
      expect(again).toEqual({ reference: "R-1", hire: made?.hire, result: "same", links: [] });

      // Two changes before the first has had its turn, and one of staff in between: all hold.
      await push("R-1", longer(1));
      const hire = made?.hire ?? ("" as never);
      const body = { kind: "changed", by: "morag", change: { lang: "de" } } as const;
      await house.file({ key: "staff", lane: laneOf(hire), receivedAt: noon, body });
      await push("R-1", { ...longer(1), surname: "Reed" });
      await house.runUntilIdle();
      const state = await house.laneState(laneOf(hire));
      expect(state?.kind === "hire" && state.hire.booking).toMatchObject({
        ...{ lang: "de", surname: "Reed", returnAt: longer(1).returnAt },
      });

      // The same content as long ago is a change again.
      expect((await push("R-1", content))[0]?.result).toBe("changed");
      await house.runUntilIdle();
      expect((await allHires(house.db)).find((row) => row.id === hire)?.surname).toBe("Example");
      const log = await house.db
        .selectFrom("events")
        .select("text")
        .where("who", "=", "Shop")
        .execute();
      expect(log.map((e) => e.text.replace(/: .*/, ""))).toEqual(Array(3).fill("changes the hire"));

      // Who is taken off a hire has no link and no chat of it any more.
      const ben = { ...content, people: [...content.people, { name: "Ben" }] };
      const [both] = await push("R-4", ben);
      const token2 = both?.links[1]?.token ?? "";
      const via = { channel: "telegram", to: "200" } as const;
      const lane4 = laneOf(both?.hire ?? "");
      const joins = { kind: "joined", from: { person: "p2", via } } as const;
      await house.file({ key: "joins", lane: lane4, receivedAt: noon, body: joins });
      await house.runUntilIdle();
      expect((await findLink(house.db, token2, noon))?.person).toBe("p2");
      expect((await whoseChat(house.db, via, noon))?.person).toBe("p2");
      await push("R-4", content);
      await house.runUntilIdle();
      expect(await findLink(house.db, token2, noon)).toBeUndefined();
      expect(await whoseChat(house.db, via, noon)).toBeUndefined();
      expect((await findLink(house.db, both?.links[0]?.token ?? "", noon))?.person).toBe("p1");

      // The second of two fails: nothing of the first is there either.
      let n = 0;
      const breaks = () => {
        if (++n === 2) throw new Error("no more ids");
        return `id-${n}`;
      };
      const two = ["R-2", "R-3"].map((reference) => ({ reference, content }));
      await expect(pushHires(house.db, two, "Shop", noon, breaks)).rejects.toThrow("no more ids");
      const refs = await house.db.selectFrom("booking_refs").select("reference").execute();
      expect(refs.map((r) => r.reference).sort()).toEqual(["R-1", "R-4"]);
      expect(await house.laneState(laneOf("id-1"))).toBeUndefined();

      const token = await makeProgramToken(house.db, { name: "Shop", contact: "morag" }, noon);
      const stored = await house.db.selectFrom("program_tokens").selectAll().execute();
      expect(JSON.stringify(stored)).not.toContain(token.slice(3));
      const known = await programOf(house.db, token, noon);
      expect(known?.name).toBe("Shop");
      expect(await programOf(house.db, `${token}x`, noon)).toBeUndefined();
      expect(await revokeProgramToken(house.db, known?.id ?? "", "callum", noon)).toBe(true);
      expect(await revokeProgramToken(house.db, known?.id ?? "", "callum", noon)).toBe(false);
      expect(await programOf(house.db, token, noon)).toBeUndefined();
      expect(await programTokens(house.db)).toMatchObject([
        { used_at: noon, revoked_by: "callum" },
      ]);
      await house.close();
    },
    60_000,
  );
});
