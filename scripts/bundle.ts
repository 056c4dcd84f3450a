/** Puts each hirer's page's code and style into one small file under dist/pages: part of npm run build. */
import { rmSync } from "node:fs";
import { join } from "node:path";
import { build } from "esbuild";
import { projectFolder } from "../src/knowledge/read.js";

const pages = join(projectFolder(), "src", "pages");
const outdir = join(projectFolder(), "dist", "pages");
// Pieces of earlier builds have other names.
rmSync(outdir, { recursive: true, force: true });
await build({
  entryPoints: {
    chat: join(pages, "chat.ts"),
    "chat-style": join(pages, "chat.css"),
    open: join(pages, "open.ts"),
    guide: join(pages, "offline", "guide.ts"),
    "chat-worker": join(pages, "offline", "worker.ts"),
  },
  outdir,
  bundle: true,
  // The search is loaded by the talk only when it is needed, and by the guide at once.
  splitting: true,
  chunkNames: "[name]-[hash]",
  minify: true,
  // Phones of five years; what they lack is written so that they understand it.
  target: ["es2022", "safari15.4", "chrome100", "firefox100"],
  format: "esm",
  legalComments: "none",
  logLevel: "error",
});
