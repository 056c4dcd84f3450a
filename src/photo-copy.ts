/** The copy of a photo that is shown to people. */
import sharp from "sharp";

/** A decoded photo takes three bytes a pixel: larger ones are kept, but not shown. */
const mostPixels = 120_000_000;

/** Upright, at most `pixels` a side, a JPEG with nothing of the camera's data; undefined where this service cannot decode it. Never throws. */
export const shownCopy = (bytes: Uint8Array, pixels = 2048): Promise<Buffer | undefined> =>
  sharp(bytes, { limitInputPixels: mostPixels, sequentialRead: true })
    .autoOrient()
    .resize({ width: pixels, height: pixels, fit: "inside", withoutEnlargement: true })
    .flatten({ background: "#fff" })
    .jpeg({ quality: 80 })
    .timeout({ seconds: 20 })
    .toBuffer()
    .catch(() => undefined);
