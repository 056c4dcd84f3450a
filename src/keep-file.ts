/** Files that outlast a power cut: whole under their name, and the name itself on the disk, before anybody is told. */
import { randomBytes } from "node:crypto";
import { mkdir, open, readFile, rename, rm, writeFile } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";

/** Brings the names in a folder to the disk: a new file is found after a power cut only once that is done. */
export async function flushNames(folder: string): Promise<void> {
  const at = await open(folder, "r");
  try {
    await at.sync();
  } finally {
    await at.close();
  }
}

/** Makes a folder, and those above it that are missing, each with its name on the disk. */
export async function makeFolder(folder: string): Promise<void> {
  const first = await mkdir(folder, { recursive: true });
  if (first === undefined) return;
  const top = dirname(resolve(first));
  for (let at = resolve(folder); at !== top && at !== dirname(at); at = dirname(at))
    await flushNames(dirname(at));
}

/**
 * Keeps bytes under a name in a folder that is there; what stood under it is replaced in one step. `mode`: who
 * may read and write it. @throws what the disk throws, and then leaves nothing
 */
export async function keepFile(
  folder: string,
  name: string,
  bytes: Uint8Array,
  mode = 0o666,
): Promise<void> {
  const part = join(folder, `${name}.${randomBytes(6).toString("hex")}.part`);
  try {
    await writeFile(part, bytes, { flush: true, mode });
    await rename(part, join(folder, name));
  } catch (error) {
    await rm(part, { force: true });
    throw error;
  }
  await flushNames(folder);
}

/** The bytes that are kept under a name in a folder; undefined where there are none. @throws what the disk throws */
export async function readKept(folder: string, name: string): Promise<Buffer | undefined> {
  try {
    return await readFile(join(folder, name));
  } catch (error) {
    if (error instanceof Error && "code" in error && error.code === "ENOENT") return undefined;
    throw error;
  }
}
