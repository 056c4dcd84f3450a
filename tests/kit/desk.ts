/** Somebody signed in at the desk over HTTP, and photos as cameras make them. */

import sharp from "sharp";
import request from "supertest";
import { deskPassword } from "./web-house.js";

export type DeskVisitor = {
  csrf: string;
  get(path: string): request.Test;
  post(path: string, body: Record<string, string | string[]>): request.Test;
  draft(path: string, fields: Record<string, string>): request.Test;
  photo(path: string, bytes: Buffer): request.Test;
};

/** Signs in. */
export async function enterDesk(url: string, contact = "morag"): Promise<DeskVisitor> {
  const entered = await request(url)
    .post("/desk/enter")
    .type("form")
    .send({ contact, password: deskPassword });
  const cookie = String(entered.headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
  const get = (path: string) =>
    request(url).get(path).set("Cookie", cookie).set("Accept", "text/html");
  const csrf = /name="csrf" value="([^"]+)"/.exec((await get("/desk")).text)?.[1] ?? "";
  return {
    csrf,
    get,
    post: (path, body) =>
      request(url)
        .post(path)
        .set("Cookie", cookie)
        .set("Accept", "text/html")
        .type("form")
        .send({ csrf, ...body }),
    draft: (path, fields) =>
      request(url)
        .post(`${path}/draft`)
        .set("Cookie", cookie)
        .set("Accept", "application/json")
        .send({ csrf, fields }),
    photo: (path, bytes) =>
      request(url)
        .post(path)
        .set("Cookie", cookie)
        .set("Accept", "application/json")
        .set("x-csrf", csrf)
        .set("Content-Type", "application/octet-stream")
        .send(bytes),
  };
}

/** A picture with the data that a camera writes: time, place, and the camera held upright (Exif orientation 6). */
export const cameraPhoto = (
  takenAt: string | undefined = "2026:06:03 10:12:05",
  more: { offset?: string; colour?: string } = {},
): Promise<Buffer> =>
  sharp({ create: { width: 640, height: 480, channels: 3, background: more.colour ?? "#5a7d8c" } })
    .withExif({
      IFD0: { Make: "Example", Model: "Example 1" },
      IFD2: {
        ...(takenAt === undefined ? {} : { DateTimeOriginal: takenAt }),
        ...(more.offset ? { OffsetTimeOriginal: more.offset } : {}),
      },
      IFD3: { GPSLatitudeRef: "N", GPSLatitude: "57/1 30/1 0/1" },
    })
    .withMetadata({ orientation: 6 })
    .jpeg()
    .toBuffer();

/** A picture without any such data. */
export const plainPhoto = (colour = "#8a6d3b"): Promise<Buffer> =>
  sharp({ create: { width: 320, height: 240, channels: 3, background: colour } })
    .jpeg()
    .toBuffer();

/** The head of a HEIC file (ISO 14496-12 ftyp box, brand heic, compatible mif1 and heic), and bytes that nothing here decodes. */
export const heicPhoto = (): Buffer =>
  Buffer.concat([
    Buffer.from([0, 0, 0, 24]),
    Buffer.from("ftypheic\0\0\0\0mif1heic"),
    Buffer.alloc(400, 7),
  ]);
