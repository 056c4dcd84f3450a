import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { fingerprint, keptBetweenStarts } from "../src/start-cache.js";

describe("what is kept between starts", () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), "passing-place-test-"));
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));

  const value = { words: new Map([["gas", [1, 2]]]), weights: Float32Array.from([0.5, -1]) };
  const get = (key: string, make: () => typeof value) =>
    keptBetweenStarts(folder, { name: "thing", key }, make);
  const never = () => {
    throw new Error("made again");
  };
  const files = () => readdirSync(folder).map((name) => join(folder, name));

  it("is made once for a key, and comes back as it was", () => {
    expect(get("a", () => value)).toEqual(value);
    expect(get("a", never)).toEqual(value);
    expect(() => get("b", never)).toThrow("made again");
  });
  it("is made again where its file was cut short or holds something else", () => {
    get("a", () => value);
    const [file = ""] = files();
    const bytes = readFileSync(file);
    for (const damaged of [
      bytes.subarray(0, bytes.length - 4),
      Buffer.alloc(64, 255),
      Buffer.of(),
    ]) {
      writeFileSync(file, damaged);
      expect(() => get("a", never)).toThrow("made again");
    }
    expect(get("a", () => value)).toEqual(value);
    expect(get("a", never)).toEqual(value);
  });
  it("is given where it cannot be kept", () => {
    const no = join(folder, "file");
    writeFileSync(no, "");
    expect(keptBetweenStarts(no, { name: "thing", key: "a" }, () => value)).toEqual(value);
  });
  it("does not pile up", () => {
    for (let n = 0; n < 20; n++) get(String(n), () => value);
    expect(files()).toHaveLength(6);
    expect(get("19", never)).toEqual(value);
  });
  it("has another fingerprint when a file anywhere in the folders changes, comes or goes", () => {
    const inner = join(folder, "inner");
    mkdirSync(inner);
    writeFileSync(join(folder, "a"), "1");
    const seen = [fingerprint([folder])];
    const next = () => seen.push(fingerprint([folder]));
    writeFileSync(join(inner, "b"), "2");
    next();
    writeFileSync(join(inner, "b"), "3");
    next();
    rmSync(join(folder, "a"));
    next();
    expect(new Set(seen).size).toBe(4);
    expect(fingerprint([folder])).toBe(seen[3]);
  });
});
