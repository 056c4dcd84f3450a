/** Whose word for a visitor's address counts: that of proxies of this machine, and of those that the settings name. */
import type { Express } from "express";
import type { Log } from "./log.js";

/** Sets it, before any route. Where another peer gives such a word, it is not heard, and the log says so once. */
export function trustProxies(app: Express, proxies: readonly string[], log: Log): void {
  app.set("trust proxy", ["loopback", ...proxies]);
  const trusted = app.get("trust proxy fn") as (address: string, hop: number) => boolean;
  let told = false;
  app.use((request, _response, next) => {
    const peer = request.socket.remoteAddress ?? "";
    if (!told && request.get("x-forwarded-for") !== undefined && !trusted(peer, 0)) {
      told = true;
      log.warn("a proxy is not trusted", {
        why: "X-Forwarded-For came from a machine that TRUSTED_PROXIES does not name: where that is your proxy, all who come by it count as one visitor",
      });
    }
    next();
  });
}
