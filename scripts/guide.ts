/** The whole guide of a van type as Markdown: npm run -s guide -- --van curlew [--region gb-wls] */
import { regionIds } from "../src/knowledge/book.js";
import { bookOrExit } from "../src/knowledge/read.js";
import { guide } from "../src/wording/guide.js";
import { readArgs } from "./command/args.js";

const { values: flags } = readArgs("usage: npm run -s guide -- --van VAN [--region gb-wls]", {
  options: { van: { type: "string" }, region: { type: "string" } },
});
const book = bookOrExit();
if (!flags.van || !book.vans.has(flags.van)) {
  console.error(
    `usage: npm run -s guide -- --van VAN; VAN is one of ${[...book.vans.keys()].join(", ")}`,
  );
  process.exit(1);
}
const { region = book.firm.region } = flags;
if (!regionIds(book).includes(region)) {
  console.error(`unknown region "${region}"; one of ${regionIds(book).join(", ")} is needed`);
  process.exit(1);
}
console.log(guide(book, flags.van, region));
