/** When a camera took a photo, read from Exif blocks that libexif (through sharp) wrote, and from broken ones. */
import fc from "fast-check";
import sharp from "sharp";
import { describe, expect, it } from "vitest";
import { takenAt } from "../../src/desk/sealed/exif.js";
import { cameraPhoto, plainPhoto } from "../kit/desk.js";

const exifOf = async (photo: Buffer) => (await sharp(photo).metadata()).exif;

describe("the time of taking", () => {
  it("is the camera's own clock, with its offset where it wrote one", async () => {
    expect(takenAt(await exifOf(await cameraPhoto("2026:06:03 10:12:05")))).toBe(
      "2026-06-03T10:12:05",
    );
    const offset = await cameraPhoto("2026:06:03 10:12:05", { offset: "-03:30" });
    expect(takenAt(await exifOf(offset))).toBe("2026-06-03T10:12:05-03:30");
  });
  it("is read from PNG and WebP too", async () => {
    for (const form of ["png", "webp"] as const) {
      const photo = await sharp(await cameraPhoto())
        .keepExif()
        .toFormat(form)
        .toBuffer();
      expect(takenAt(await exifOf(photo))).toBe("2026-06-03T10:12:05");
    }
  });
  it.each(["0000:00:00 00:00:00", "2026:02:31 10:00:00", "    :  :     :  :  ", "yesterday"])(
    "that is %s is not known",
    async (time) => {
      expect(takenAt(await exifOf(await cameraPhoto(time)))).toBeUndefined();
    },
  );
  it("is not known where nothing was written", async () => {
    expect(await exifOf(await plainPhoto())).toBeUndefined();
    expect(takenAt(undefined)).toBeUndefined();
    expect(takenAt(new Uint8Array())).toBeUndefined();
  });
  it("is read with the high byte first as well", () => {
    // Written by hand after TIFF 6.0, section 2, and Exif 2.32, 4.6.3: one directory that leads to the Exif one.
    const bytes = new DataView(new ArrayBuffer(64));
    const field = (at: number, tag: number, type: number, count: number, value: number) => {
      bytes.setUint16(at, tag);
      bytes.setUint16(at + 2, type);
      bytes.setUint32(at + 4, count);
      bytes.setUint32(at + 8, value);
    };
    bytes.setUint32(0, 0x4d4d002a);
    bytes.setUint32(4, 8);
    bytes.setUint16(8, 1);
    field(10, 0x8769, 4, 1, 26);
    bytes.setUint16(26, 1);
    field(28, 0x9003, 2, 20, 44);
    for (const [i, c] of [..."2026:06:03 10:12:05"].entries())
      bytes.setUint8(44 + i, c.charCodeAt(0));
    expect(takenAt(new Uint8Array(bytes.buffer))).toBe("2026-06-03T10:12:05");
  });
  it("of a broken block is not known, and nothing breaks", async () => {
    const whole = new Uint8Array((await exifOf(await cameraPhoto())) ?? []);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(whole.length - 1), fc.nat(255)), { maxLength: 8 }),
        fc.nat(whole.length),
        (changes, length) => {
          const broken = whole.slice(0, length);
          for (const [at, to] of changes) if (at < length) broken[at] = to;
          const read = takenAt(broken);
          if (read !== undefined)
            expect(read).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d([+-]\d\d:\d\d)?$/);
        },
      ),
      { numRuns: 2000 },
    );
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (bytes) => {
        expect(takenAt(bytes)).toBeUndefined();
      }),
    );
  });
});
