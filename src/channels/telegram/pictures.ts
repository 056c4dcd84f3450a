/** Drawings of knowledge/pictures as PNG, since Telegram shows no SVG. Each is rendered once. */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { Resvg } from "@resvg/resvg-js";
import { faultFields, type Log } from "../../log.js";

/** The PNG of a picture by its id; undefined where there is no such drawing or it cannot be drawn. */
export type Pictures = (id: string) => Buffer | undefined;

/** Width of a picture in a chat, in pixels. */
const widthPx = 800;

/**
 * Opens a folder of SVG files. Fonts: only TTF files of the same folder, so that every machine draws the
 * same; without one, text inside a drawing does not show, so drawings carry their letters as paths. What is
 * not there or cannot be drawn is left out, and the log says so once.
 */
export function openPictures(folder: string, log: Log): Pictures {
  const drawn = new Map<string, Buffer | undefined>();
  const fontFiles = existsSync(folder)
    ? readdirSync(folder)
        .filter((name) => name.endsWith(".ttf"))
        .map((name) => join(folder, name))
    : [];
  const draw = (id: string): Buffer | undefined => {
    if (!/^[a-z0-9-]+$/.test(id)) return undefined;
    const svg = new Resvg(readFileSync(join(folder, `${id}.svg`), "utf8"), {
      fitTo: { mode: "width", value: widthPx },
      background: "white",
      font: { loadSystemFonts: false, fontFiles },
    });
    return svg.render().asPng();
  };
  return (id) => {
    if (drawn.has(id)) return drawn.get(id);
    let png: Buffer | undefined;
    try {
      png = draw(id);
    } catch (error) {
      log.warn("drawing left out", { channel: "telegram", kind: id, ...faultFields(error) });
    }
    drawn.set(id, png);
    return png;
  };
}
