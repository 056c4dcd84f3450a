/** When a camera says that it took a photo. Pure; reads the Exif block alone (CIPA DC-008, Exif 2.32, 4.6.3 and 4.6.5). */

const exifIfd = 0x8769;
const dateTimeOriginal = 0x9003;
const offsetTimeOriginal = 0x9011;
const ascii = 2;

type Fields = Map<number, { type: number; count: number; at: number }>;

/** The fields of one directory; `at`: where the value or its address stands. */
function directory(view: DataView, at: number, little: boolean): Fields {
  const fields: Fields = new Map();
  const n = view.getUint16(at, little);
  for (let i = 0; i < n; i++) {
    const field = at + 2 + 12 * i;
    fields.set(view.getUint16(field, little), {
      type: view.getUint16(field + 2, little),
      count: view.getUint32(field + 4, little),
      at: field + 8,
    });
  }
  return fields;
}

/**
 * "2026-06-03T10:12:05", with the offset where the camera wrote one ("…+01:00"); undefined where it wrote no
 * time, an empty one, or nothing that can be read. The clock is the camera's own. Never throws.
 */
export function takenAt(exif: Uint8Array | undefined): string | undefined {
  if (!exif) return undefined;
  try {
    const named = String.fromCharCode(...exif.subarray(0, 6)) === "Exif\0\0";
    const tiff = exif.subarray(named ? 6 : 0);
    const view = new DataView(tiff.buffer, tiff.byteOffset, tiff.byteLength);
    const order = view.getUint16(0);
    if (order !== 0x4949 && order !== 0x4d4d) return undefined;
    const little = order === 0x4949;
    const root = directory(view, view.getUint32(4, little), little);
    const address = root.get(exifIfd);
    if (!address) return undefined;
    const fields = directory(view, view.getUint32(address.at, little), little);
    const text = (tag: number): string => {
      const field = fields.get(tag);
      if (field?.type !== ascii || field.count > 64) return "";
      const at = field.count > 4 ? view.getUint32(field.at, little) : field.at;
      return String.fromCharCode(...tiff.subarray(at, at + field.count)).replace(/\0.*$/s, "");
    };
    const local = /^(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)$/.exec(text(dateTimeOriginal).trim());
    if (!local) return undefined;
    const [, year, month, day, clock] = local;
    const at = `${year}-${month}-${day}T${clock}`;
    // Zeros, or the 31st of February, are no time.
    const known = new Date(`${at}Z`);
    if (Number.isNaN(known.getTime()) || known.toISOString().slice(0, 19) !== at) return undefined;
    return at + (/^[+-]\d\d:\d\d$/.exec(text(offsetTimeOriginal).trim())?.[0] ?? "");
  } catch (error) {
    // An address beyond the end of the block.
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}
