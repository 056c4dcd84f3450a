/** Photos that came in: checked by content, kept as files under an id of their own. */
import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { rm } from "node:fs/promises";
import { join } from "node:path";
import { flushNames, keepFile, makeFolder, readKept } from "../../keep-file.js";

export const photoLimitBytes = 8 * 1024 * 1024;

/** Brands of stills and bursts (ISO/IEC 23008-12, 10 and annex B). */
const heif = ["heic", "heix", "heim", "heis", "hevc", "hevx", "hevm", "hevs", "mif1", "msf1"];

/** The type that the first bytes tell; undefined when it is no picture that phones take. */
export function pictureKind(bytes: Uint8Array): string | undefined {
  const starts = (...sig: number[]) => sig.every((b, i) => bytes[i] === b);
  const ascii = (from: number, text: string) =>
    [...text].every((c, i) => bytes[from + i] === c.charCodeAt(0));
  if (starts(0xff, 0xd8, 0xff)) return "image/jpeg";
  if (starts(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)) return "image/png";
  if (ascii(0, "RIFF") && ascii(8, "WEBP")) return "image/webp";
  if (ascii(4, "ftyp") && ascii(8, "avif")) return "image/avif";
  if (ascii(4, "ftyp") && heif.some((brand) => ascii(8, brand))) return "image/heic";
  return undefined;
}

export type Photos = {
  /** Keeps the photo of an arrival; gives its id. `key`: the arrival's. The same key again: the same id, and what came first. */
  save(bytes: Uint8Array, key: string): Promise<string>;
  /** Undefined where there is none. @throws what the disk throws */
  load(id: string): Promise<Buffer | undefined>;
  /** Takes one away again; nothing happens when there is none. */
  drop(id: string): Promise<void>;
};

/**
 * Photos in a folder, one for each arrival however often it is sent, so that trying again leaves nothing behind;
 * on the disk, name and all, once they are saved.
 */
export function openPhotos(folder: string): Photos {
  const shape = /^[A-Za-z0-9_-]{22}$/;
  return {
    async save(bytes, key) {
      const id = createHash("sha256").update(key).digest("base64url").slice(0, 22);
      await makeFolder(folder);
      if (existsSync(join(folder, id))) await flushNames(folder);
      else await keepFile(folder, id, bytes);
      return id;
    },
    async load(id) {
      return shape.test(id) ? readKept(folder, id) : undefined;
    },
    async drop(id) {
      if (shape.test(id)) await rm(join(folder, id), { force: true });
    },
  };
}
