/** Photos of records: the original sealed as it came, and a copy to look at without what cameras write into it. */
import { createHash } from "node:crypto";
import { rm } from "node:fs/promises";
import { join } from "node:path";
import sharp from "sharp";
import { keepFile, makeFolder, readKept } from "../../keep-file.js";
import { shownCopy } from "../../photo-copy.js";
import { takenAt } from "./exif.js";

/** Longest side of the copy. */
const shownPixels = 1600;

type Sealed = { type: string; sha256: string; takenAt: string | undefined; shown: boolean };
export type SealedPhotos = {
  /** The type of a picture by its content; undefined: none that is kept. */
  kindOf(bytes: Uint8Array): string | undefined;
  /** Keeps it under this id (22 letters of base64url). Again with the same bytes: the same. */
  seal(id: string, bytes: Uint8Array): Promise<Sealed>;
  /** The copy to look at, a JPEG; undefined where there is none. @throws what the disk throws */
  shown(id: string): Promise<Buffer | undefined>;
  /** The original as it came; undefined where there is none. @throws what the disk throws */
  original(id: string): Promise<Buffer | undefined>;
  /** Takes both away; nothing happens where there is none. */
  drop(id: string): Promise<void>;
};

export const photoId = /^[A-Za-z0-9_-]{22}$/;
export const sha256 = (bytes: Uint8Array): string =>
  createHash("sha256").update(bytes).digest("hex");

/** Nobody writes to it again. */
const forReading = 0o440;

const exifOf = (bytes: Uint8Array): Promise<Buffer | undefined> =>
  sharp(bytes)
    .metadata()
    .then((m) => m.exif)
    .catch(() => undefined);

/** Sealed photos in a folder; nothing in it is ever written twice. */
export function openSealed(folder: string, kindOf: SealedPhotos["kindOf"]): SealedPhotos {
  const load = async (id: string, what: string) =>
    photoId.test(id) ? readKept(folder, `${id}.${what}`) : undefined;
  return {
    kindOf,
    async seal(id, bytes) {
      await makeFolder(folder);
      const copy = await shownCopy(bytes, shownPixels);
      await keepFile(folder, `${id}.original`, bytes, forReading);
      if (copy) await keepFile(folder, `${id}.shown`, copy, forReading);
      return {
        type: kindOf(bytes) ?? "application/octet-stream",
        sha256: sha256(bytes),
        takenAt: takenAt(await exifOf(bytes)),
        shown: copy !== undefined,
      };
    },
    shown: (id) => load(id, "shown"),
    original: (id) => load(id, "original"),
    async drop(id) {
      if (!photoId.test(id)) return;
      for (const what of ["original", "shown"])
        await rm(join(folder, `${id}.${what}`), { force: true });
    },
  };
}
