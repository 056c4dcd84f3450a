/** Only our own pages may post: a page of somebody else must not act with the cookie of who looks at it. */
import type { RequestHandler } from "express";

const reads = new Set(["GET", "HEAD", "OPTIONS"]);
const hostOf = (url: string): string | undefined =>
  URL.canParse(url) ? new URL(url).host : undefined;

/**
 * 403 for a post from another site. The browser says where it comes from: in Sec-Fetch-Site (W3C Fetch Metadata),
 * or in Origin (WHATWG Fetch, "Origin header"), which names a host of ours. Neither: no browser since 2020, so
 * nobody whose cookie could be misused. Cookies are SameSite too; that alone would let sibling hosts in.
 */
export function ownPagesOnly(publicUrl: string): RequestHandler {
  const ours = hostOf(publicUrl);
  return (request, response, next) => {
    if (reads.has(request.method)) return next();
    const site = request.get("sec-fetch-site");
    const origin = request.get("origin");
    const host = origin === undefined ? undefined : hostOf(origin);
    const own =
      site !== undefined
        ? site === "same-origin" || site === "none"
        : origin === undefined ||
          (host !== undefined && (host === ours || host === request.get("host")));
    if (own) return next();
    response
      .status(403)
      .set("Cache-Control", "no-store")
      .type("text")
      .send(
        "Not done: this came from a page that is not ours. Please open our own page and try again.",
      );
  };
}
