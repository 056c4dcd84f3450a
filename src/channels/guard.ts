/** Keeps what we call from leading into our own network: names are looked up once, and checked before connecting. */
import { type LookupAddress, lookup } from "node:dns";
import type { LookupFunction } from "node:net";
import { isOutside, namesInside } from "../public-address.js";

/** Names to addresses, as `lookup` of node:dns gives them. */
export type Resolve = (
  host: string,
  options: { all: true },
  done: (error: NodeJS.ErrnoException | null, found: LookupAddress[]) => void,
) => void;

/** Code of the error of a name that leads inside. */
export const insideCode = "EINSIDE";

/** A look-up whose addresses are checked; what it answers is what the socket connects to. */
export function guarded(allowInternal: boolean, resolve: Resolve = lookup): LookupFunction {
  return (host, options, done) =>
    resolve(host, { ...options, all: true }, (error, found) => {
      const [first] = found ?? [];
      if (error || !first) return done(error ?? new Error("no address"), "");
      if (!allowInternal && found.some(({ address }) => !isOutside(address)))
        return done(Object.assign(new Error("inside"), { code: insideCode }), "");
      return options.all ? done(null, found) : done(null, first.address, first.family);
    });
}

/** Whether a URL may be called at all, before any look-up: https, and naming nothing of ours. */
export const mayCall = (url: URL, allowInternal: boolean): boolean =>
  allowInternal || (url.protocol === "https:" && !namesInside(url));
