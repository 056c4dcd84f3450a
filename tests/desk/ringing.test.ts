/** Whether a telephone rings: said at the start and on the desk. */
import request from "supertest";
import { afterEach, describe, expect, it } from "vitest";
import { nothingRings, ringingBanner } from "../../src/desk/ringing.js";
import { readBook } from "../../src/knowledge/read.js";
import { openLog } from "../../src/log.js";
import { openService, type Service } from "../../src/open-service.js";
import { smallMatcher, smallStep, tempFile } from "../kit/small-house.js";

const { book } = readBook();
const { firm } = book;
const password = "four-plain-words";
const secret = `whsec_${Buffer.alloc(24, 1).toString("base64")}`;

describe("nothing rings", () => {
  it("without the staff hook, or where no contact of staff has it", () => {
    expect(nothingRings(firm, true)).toBeUndefined();
    expect(nothingRings(firm, false)).toContain("HOOK_URL");
    const contacts = Object.fromEntries(
      Object.entries(firm.contacts).map(([id, c]) => [id, { ...c, hook: c.kind === "roadside" }]),
    );
    expect(nothingRings({ ...firm, contacts }, true)).toContain("no contact");
    expect(ringingBanner(undefined).toString()).toBe("");
  });
});

describe("the service", () => {
  const closes: (() => unknown)[] = [];
  afterEach(async () => {
    for (const close of closes.splice(0)) await close();
  });
  async function opened(hook: boolean): Promise<{ service: Service; lines: string[] }> {
    const temp = tempFile();
    const lines: string[] = [];
    const service = await openService(
      {
        port: 0,
        host: "127.0.0.1",
        publicUrl: "http://127.0.0.1",
        databaseFile: temp.file,
        deskPasswords: { morag: password },
        logLevel: "warn",
        ...(hook
          ? { hook: { url: "https://provider.example/", secret, allowInternal: false } }
          : {}),
      },
      {
        book,
        matcher: smallMatcher,
        log: openLog("warn", { write: (line: string) => void lines.push(line) }),
        step: smallStep,
      },
    );
    closes.push(() => service.close(), temp.remove);
    return { service, lines };
  }
  const waits = async ({ url }: Service): Promise<string> => {
    const form = { contact: "morag", password };
    const entered = await request(url).post("/desk/enter").type("form").send(form);
    const cookie = String(entered.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
    return (await request(url).get("/desk").set("Cookie", cookie).set("Accept", "text/html")).text;
  };

  it("warns in the log at the start and plainly above what waits, and only where nothing rings", async () => {
    const without = await opened(false);
    expect(without.lines.join()).toContain("nothing rings");
    expect(await waits(without.service)).toContain("No telephone rings here");
    const having = await opened(true);
    expect(having.lines.join()).not.toContain("nothing rings");
    const page = await waits(having.service);
    expect(page).toContain("What waits for a person");
    expect(page).not.toContain("No telephone rings here");
  });
});
