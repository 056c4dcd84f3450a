/** Plays every script of this folder; each line that comes out must stand in it, and nothing else may come. */
import { describe, expect, it } from "vitest";
import { scripts, tells } from "../kit/tells.js";

describe("conversation scripts", () => {
  it("are all found", () => expect(scripts.length).toBeGreaterThan(0));
  it.each(scripts)("%s", (file) => tells(file));
});
