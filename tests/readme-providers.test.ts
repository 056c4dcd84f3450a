/** What README.md tells those who write a provider of their own. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { alertOf } from "../src/channels/hook/alert.js";
import { keysOf, signatureFits } from "../src/channels/signature.js";
import { projectFolder, readBook } from "../src/knowledge/read.js";
import type { LaneId } from "../src/post.js";

const readme = readFileSync(join(projectFolder(), "README.md"), "utf8");
const sample = /```\nPOST [\s\S]*?\n```/.exec(readme)?.[0] ?? "";
const header = (name: string) => new RegExp(`^${name}: (.+)$`, "m").exec(sample)?.[1];
const raw = /^\{.*\}$/m.exec(sample)?.[0] ?? "";

describe("the sample of README.md", () => {
  it("is signed as it says", () => {
    const secret = /signed with `(whsec_\S+)`/.exec(readme)?.[1] ?? "";
    const given = {
      id: header("webhook-id"),
      timestamp: header("webhook-timestamp"),
      signature: header("webhook-signature"),
    };
    expect(signatureFits(keysOf(secret), given, Buffer.from(raw))).toBe(true);
  });

  it("is an alert as the staff hook posts it", () => {
    const { book } = readBook();
    const told = JSON.parse(raw) as { id: string; text: string };
    const made = alertOf(
      {
        ...{ to: { channel: "hook", to: "isla" }, who: "hook", contact: "isla", safety: true },
        ...{ ring: true, severity: "stop", callout: 1 },
        message: { text: told.text, buttons: [{ tap: "take:k7f2:1", label: "I take it" }] },
      },
      told.id,
      "hire:k7f2" as LaneId,
      { book, firm: book.firm, publicUrl: "https://trips.example.org" },
    );
    expect(told).toEqual(made);
    for (const field of Object.keys(made)) expect(readme).toContain(`"${field}"`);
  });
});
