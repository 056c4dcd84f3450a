/** What is kept on the disk is there after a power cut: bytes first, then the name in its folder, before anybody is told. */
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from "node:fs";
import type * as disk from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { openPhotos } from "../src/channels/webchat/photos.js";
import { openSealed } from "../src/desk/sealed/sealed.js";
import { keepFile, makeFolder, readKept } from "../src/keep-file.js";

/** What was done to the disk, in order. */
const done: string[] = [];
vi.mock("node:fs/promises", async (real) => {
  const original = await real<typeof disk>();
  const open: typeof disk.open = async (path, ...more) => {
    const handle = await original.open(path, ...more);
    const sync = handle.sync.bind(handle);
    handle.sync = () => {
      done.push(`flush ${basename(String(path))}`);
      return sync();
    };
    return handle;
  };
  const rename: typeof disk.rename = (from, to) => {
    done.push(`name ${basename(String(to))}`);
    return original.rename(from, to);
  };
  return { ...original, open, rename };
});

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "passing-place-kept-"));
  done.length = 0;
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));
const bytes = Buffer.from("a photo");

it("a new folder is named on the disk, and each one above it that was missing", async () => {
  await makeFolder(join(folder, "a", "b"));
  expect(done).toEqual(["flush a", `flush ${basename(folder)}`]);
  await makeFolder(join(folder, "a", "b"));
  expect(done).toHaveLength(2);
});

it("a file is whole under its name, and leaves nothing where it cannot have it", async () => {
  await keepFile(folder, "x", bytes, 0o400);
  expect(done).toEqual(["name x", `flush ${basename(folder)}`]);
  expect(readFileSync(join(folder, "x"))).toEqual(bytes);
  expect(statSync(join(folder, "x")).mode & 0o777).toBe(0o400);
  await makeFolder(join(folder, "taken", "inside"));
  await expect(keepFile(folder, "taken", bytes)).rejects.toThrow();
  expect(readdirSync(folder).sort()).toEqual(["taken", "x"]);
});

it("a file that the disk does not give out is not said to be none", async () => {
  const id = "A".repeat(22);
  expect(await readKept(join(folder, "no-such"), "x")).toBeUndefined();
  const photos = openPhotos(folder);
  const sealed = openSealed(folder, () => "image/jpeg");
  expect(await photos.load(id)).toBeUndefined();
  expect(await sealed.original(id)).toBeUndefined();
  // A folder in its place stands for any error of the disk.
  for (const name of [id, `${id}.original`]) await makeFolder(join(folder, name));
  await expect(photos.load(id)).rejects.toThrow("EISDIR");
  await expect(sealed.original(id)).rejects.toThrow("EISDIR");
});

it("a photo by chat has its name on the disk once it is saved, also where it was there before", async () => {
  const photos = openPhotos(join(folder, "photos"));
  const id = await photos.save(bytes, "key");
  expect(done).toEqual([`flush ${basename(folder)}`, `name ${id}`, "flush photos"]);
  expect(await photos.save(Buffer.from("another"), "key")).toBe(id);
  expect(done.slice(3)).toEqual(["flush photos"]);
  expect(await photos.load(id)).toEqual(bytes);
  expect(await photos.save(bytes, "another key")).not.toBe(id);
});

it("a photo of a record has its name on the disk once it is sealed, and is for reading only", async () => {
  const id = "A".repeat(22);
  await openSealed(join(folder, "records"), () => "image/jpeg").seal(id, bytes);
  const flushed = [`flush ${basename(folder)}`, `name ${id}.original`, "flush records"];
  expect(done).toEqual(flushed);
  const original = join(folder, "records", `${id}.original`);
  expect(existsSync(original) && statSync(original).mode & 0o222).toBe(0);
});
