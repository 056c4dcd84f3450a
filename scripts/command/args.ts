/** The arguments of a command: `--help` says how it is used, one line what is wrong with them. */
import { type ParseArgsConfig, parseArgs } from "node:util";

/** Reads the arguments. Ends the process with the usage on `--help`, and with what is wrong where they do not fit. */
export function readArgs<T extends ParseArgsConfig>(
  usage: string,
  config: T,
): ReturnType<typeof parseArgs<T>> {
  if (process.argv.slice(2).includes("--help")) {
    console.log(usage);
    process.exit(0);
  }
  try {
    return parseArgs(config);
  } catch (error) {
    const [what] = (error instanceof Error ? error.message : String(error)).split(". ");
    console.error(`${what}; ${usage}`);
    process.exit(1);
  }
}
