/** A photo made fit to send: smaller, upright, and without the data that cameras write into it. */
const mostBytes = 8 * 1024 * 1024;
const mostPixels = 2048;
const quality = 0.85;

/** Drawn again as a JPEG of at most 2048 pixels a side; undefined where this browser cannot read it. */
async function redrawn(file: Blob): Promise<Blob | undefined> {
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
    return made ?? undefined;
  } catch {
    return undefined;
  }
}

/** The photo as it is sent, or what is wrong with it and what would be right. */
export async function fitToSend(file: File): Promise<Blob | string> {
  const made = await redrawn(file);
  if (made && made.size <= mostBytes) return made;
  if (file.size > mostBytes)
    return `That photo has ${(file.size / 1024 / 1024).toFixed(1)} MB; at most 8 MB can be sent. Please send a smaller one.`;
  return file.type.startsWith("image/")
    ? file
    : "That is no photo. Please choose a picture (JPEG, PNG, WebP or HEIC).";
}
