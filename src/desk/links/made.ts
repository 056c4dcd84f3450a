/** What is shown once, the links of a new hire above all: a double click is shown the same again. */
import { createHash } from "node:crypto";
import { type Instant, minuteMs } from "../../calendar.js";
import { type Html, html } from "../../pages/html.js";
import type { Booking, HireId } from "../../post.js";

export type PersonLink = { person: string; token: string };

/** The id of the hire that a form makes: sent again, it is the same hire. */
export const hireIdOf = (contact: string, key: string): HireId =>
  createHash("sha256").update(`${contact}\0${key}`).digest("base64url").slice(0, 16) as HireId;

/** A form that is sent again within this time was double-clicked, or its answer did not arrive. */
const rememberedMs = 10 * minuteMs;

/**
 * Remembers for ten minutes, in this process alone, what a form made that is stored as a hash only: links, a password,
 * a token. Sent again under the same key it gets the same, and makes nothing more.
 */
export function shownOnce<Made>(now: () => Instant) {
  const shown = new Map<string, { at: Instant; made: Promise<Made> }>();
  return (key: string, make: () => Promise<Made>): Promise<Made> => {
    for (const [old, { at }] of shown) if (now() - at > rememberedMs) shown.delete(old);
    const known = shown.get(key);
    if (known) return known.made;
    const made = make();
    shown.set(key, { at: now(), made });
    made.catch(() => shown.delete(key));
    return made;
  };
}

/** What is shown once the hire is kept; `besides`: what stands in its way. */
export const keptPage = (
  booking: Booking,
  links: readonly PersonLink[],
  publicUrl: string,
  besides: Html,
): Html =>
  html`<h1>The hire is kept</h1><p>Each link opens the page of the hire for one person. It is shown once: send it now.</p>
${links.map((l) => html`<p class="made"><b>${booking.people.find((p) => p.id === l.person)?.name ?? ""}</b> <code>${publicUrl}/h/${l.token}</code></p>`)}
${besides}
<p><a href="/desk/hires/${booking.hire}">Open this hire</a></p>`;
