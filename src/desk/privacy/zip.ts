/** Several files as one ZIP archive, stored as they are (photos do not shrink). */
import { Zip, ZipPassThrough } from "fflate";

export type Entry = { name: string; bytes: Uint8Array };

/** The archive, piece by piece: one file is in memory at a time. At most 65,535 files and 4 GB together. */
export async function* zipped(entries: AsyncIterable<Entry>): AsyncGenerator<Uint8Array> {
  const ready: Uint8Array[] = [];
  const zip = new Zip((error, piece) => {
    if (error) throw error;
    ready.push(piece);
  });
  for await (const { name, bytes } of entries) {
    const file = new ZipPassThrough(name);
    zip.add(file);
    file.push(bytes, true);
    yield* ready.splice(0);
  }
  zip.end();
  yield* ready;
}
