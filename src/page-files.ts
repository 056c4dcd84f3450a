/** Browser code, styles, icons and drawings, each under an address that changes with its content. */
import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { Resvg } from "@resvg/resvg-js";
import { type Request, type Response, Router } from "express";
import { projectFolder } from "./knowledge/read.js";

const root = projectFolder();
/** Path → the folders where its file may lie, the first one first; nothing else of these folders is given out. */
const kinds: [RegExp, string[]][] = [
  [
    /^\/pages\/([A-Za-z0-9-]+\.js)$/,
    [join(root, "dist", "pages"), join(root, "dist", "src", "pages")],
  ],
  [/^\/pages\/([a-z-]+\.(?:css|svg))$/, [join(root, "src", "pages")]],
  // At the root, since a worker has no say above its own folder.
  [/^\/(chat-worker\.js)$/, [join(root, "dist", "pages")]],
  [/^\/pictures\/([a-z0-9-]+\.svg)$/, [join(root, "knowledge", "pictures")]],
];

/** Where the file of a path lies; undefined when it is none of ours. */
function fileOf(path: string): string | undefined {
  for (const [pattern, folders] of kinds) {
    const name = pattern.exec(path)?.[1];
    const found = name && folders.map((f) => join(f, name)).find((f) => existsSync(f));
    if (found) return found;
  }
  return undefined;
}

const marks = new Map<string, string>();
/** The first letters of the hash of a file's content; read once a process. */
function markOf(path: string): string {
  const known = marks.get(path);
  if (known !== undefined) return known;
  const file = fileOf(path);
  const mark = file
    ? createHash("sha256").update(readFileSync(file)).digest("base64url").slice(0, 10)
    : "";
  marks.set(path, mark);
  return mark;
}

/** The address of a file such as "/pages/chat.css": with its mark, so that browsers may keep it for good. */
export const addressOf = (path: string): string => `${path}?v=${markOf(path)}`;

let style: { text: string; source: string } | undefined;
/**
 * The style of the hirer's pages, to stand in the page itself: on a weak signal a page is drawn as soon as it is
 * there. `source` allows it in the header that says what may run (a hash, CSP level 2).
 */
export function ownStyle(): { text: string; source: string } {
  if (style) return style;
  const text = readFileSync(join(root, "dist", "pages", "chat-style.css"), "utf8").trim();
  const hash = createHash("sha256").update(text).digest("base64");
  style = { text, source: `'sha256-${hash}'` };
  return style;
}

const icons = new Map<number, Buffer>();
/** Our icon as phones want it, drawn once a size. */
function iconOf(size: number): Buffer {
  const known = icons.get(size);
  if (known) return known;
  const drawing = readFileSync(join(root, "src", "pages", "icon.svg"), "utf8");
  const icon = new Resvg(drawing, { fitTo: { mode: "width", value: size } }).render().asPng();
  icons.set(size, icon);
  return icon;
}

let pieces: readonly string[] | undefined;
/** Addresses of the browser code that is put together from several files, as pages and each other name it. */
export function bundled(): readonly string[] {
  if (pieces) return pieces;
  const names = readdirSync(join(root, "dist", "pages")).filter(
    (n) => n.endsWith(".js") && n !== "chat-worker.js",
  );
  pieces = names.map((n) => (n.includes("-") ? `/pages/${n}` : addressOf(`/pages/${n}`)));
  return pieces;
}

/** Gives the files out: for good under their own mark, else asked for again each time. */
export function pageFiles(): Router {
  const router = Router();
  router.get(
    kinds.map(([pattern]) => pattern),
    (request: Request, response: Response, next) => {
      const file = fileOf(request.path);
      if (!file) return next();
      const forGood = request.query["v"] === markOf(request.path);
      response
        .set("Cache-Control", forGood ? "public, max-age=31536000, immutable" : "no-cache")
        .sendFile(file, { cacheControl: false }, (error) => (error ? next() : undefined));
    },
  );
  router.get(/^\/pages\/icon-(180|192|512)\.png$/, (request, response) => {
    const size = Number(request.params["0"]);
    response.set("Cache-Control", "public, max-age=86400").type("png").send(iconOf(size));
  });
  return router;
}
