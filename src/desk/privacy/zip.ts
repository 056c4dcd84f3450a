/** Several files as one ZIP archive, stored as they are (photos do not shrink). Source: PKWARE APPNOTE 6.3.10. */

export type Entry = { name: string; bytes: Uint8Array };

const table = Uint32Array.from({ length: 256 }, (_, i) => {
  let c = i;
  for (let bit = 0; bit < 8; bit++) c = c & 1 ? (c >>> 1) ^ 0xedb88320 : c >>> 1;
  return c;
});
/** CRC-32 as ZIP has it (APPNOTE 4.4.7). */
function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) c = (table[(c ^ byte) & 0xff] as number) ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

const numbers = (...fields: [value: number, bytes: 2 | 4][]): Buffer => {
  const out = Buffer.alloc(fields.reduce((sum, [, n]) => sum + n, 0));
  let at = 0;
  for (const [value, n] of fields) at = out.writeUIntLE(value, at, n);
  return out;
};

/** What the local and the central header share: version 2.0, names in UTF-8, stored, no time of day told. */
const shared = ({ name, bytes }: Entry): Buffer =>
  numbers(
    [20, 2],
    [0x0800, 2],
    [0, 2],
    [0, 2],
    [0x0021, 2],
    [crc32(bytes), 4],
    [bytes.length, 4],
    [bytes.length, 4],
    [Buffer.byteLength(name), 2],
    [0, 2],
  );

/** The archive, piece by piece: one file is in memory at a time. At most 65,535 files and 4 GB together. */
export async function* zipped(entries: AsyncIterable<Entry>): AsyncGenerator<Buffer> {
  const central: Buffer[] = [];
  let at = 0;
  for await (const entry of entries) {
    const name = Buffer.from(entry.name);
    const head = shared(entry);
    const local = Buffer.concat([numbers([0x04034b50, 4]), head, name]);
    central.push(
      numbers([0x02014b50, 4], [20, 2]),
      head,
      numbers([0, 2], [0, 2], [0, 2], [0, 4], [at, 4]),
      name,
    );
    at += local.length + entry.bytes.length;
    yield local;
    yield Buffer.from(entry.bytes);
  }
  const directory = Buffer.concat(central);
  const count = central.length / 4;
  yield directory;
  yield numbers(
    [0x06054b50, 4],
    [0, 2],
    [0, 2],
    [count, 2],
    [count, 2],
    [directory.length, 4],
    [at, 4],
    [0, 2],
  );
}
