/** A photo made fit to send: smaller, upright, and without the data that cameras write into it. */
const mostBytes = 8 * 1024 * 1024;
const mostPixels = 2048;
const quality = 0.85;

/** Drawn again as a JPEG of at most 2048 pixels a side; undefined where this browser cannot read it. */
async function redrawn(file: Blob): Promise<{ photo: Blob; smaller: boolean } | undefined> {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, mostPixels / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const made = await new Promise<Blob | null>((done) =>
      canvas.toBlob(done, "image/jpeg", quality),
    );
    return made ? { photo: made, smaller: scale < 1 } : undefined;
  } catch {
    return undefined;
  }
}

/** Whether it begins as HEIC files do; many systems know no type for them. */
async function isHeif(file: Blob): Promise<boolean> {
  const brand = new TextDecoder("latin1").decode(await file.slice(4, 12).arrayBuffer());
  return /^ftyp(?:he|mi|ms)/.test(brand);
}

const megabytes = (bytes: number) => (bytes / 1024 / 1024).toFixed(1);

/** The photo as it is sent; `shrunk` says that it was made smaller. Or what is wrong with it and what would be right. */
export async function fitToSend(
  file: File,
): Promise<{ photo: Blob; shrunk?: string } | { wrong: string }> {
  const made = await redrawn(file);
  if (made && made.photo.size <= mostBytes) {
    const { photo, smaller } = made;
    const sizes = `${megabytes(photo.size)} MB instead of ${megabytes(file.size)} MB`;
    return smaller ? { photo, shrunk: `Photo made smaller to send: ${sizes}.` } : { photo };
  }
  if (file.size > mostBytes)
    return {
      wrong: `That photo has ${megabytes(file.size)} MB; at most 8 MB can be sent. Please send a smaller one.`,
    };
  return file.type.startsWith("image/") || (await isHeif(file))
    ? { photo: file }
    : { wrong: "That is no photo. Please choose a picture (JPEG, PNG, WebP or HEIC)." };
}
