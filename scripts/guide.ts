/** The whole guide of a van type as Markdown: npm run -s guide -- --van curlew [--region gb-wls] */
import { parseArgs } from "node:util";
import { bookOrExit } from "../src/knowledge/read.js";
import { guide } from "../src/wording/guide.js";

const { values: flags } = parseArgs({
  options: { van: { type: "string" }, region: { type: "string" } },
});
const book = bookOrExit();
if (!flags.van || !book.vans.has(flags.van)) {
  console.error(
    `usage: npm run -s guide -- --van VAN; VAN is one of ${[...book.vans.keys()].join(", ")}`,
  );
  process.exit(1);
}
console.log(guide(book, flags.van, flags.region ?? book.firm.region));
