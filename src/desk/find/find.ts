/** Finds a hire by its van's registration, its reference, a surname as somebody spells it on the phone, or the last digits of a number. Pure. */
import Fuse from "fuse.js";
import type { Instant } from "../../calendar.js";
import type { FoundBy } from "../../store/care/find.js";

export type Found = { hire: FoundBy /** The person whose number it is. */; person?: string };

const shown = 8;
/** Fewer digits of a number fit too many people. */
const fewestDigits = 3;
const bare = (text: string): string => text.replace(/[^\p{L}\p{N}]/gu, "").toUpperCase();

/** On the road 0, to come 1, back or cancelled 2. */
const rank = (h: FoundBy, now: Instant): number =>
  h.status === "cancelled" || h.return_record_at !== null ? 2 : h.pickup_at <= now ? 0 : 1;
const distance = (h: FoundBy, now: Instant): number =>
  rank(h, now) === 1 ? h.pickup_at - now : Math.abs(now - h.return_at);

/**
 * At most eight, the hires on the road first, of like ones the nearest in time. A registration may be given in
 * part; digits are the end of a phone number; names may be misspelt (Fuse.js, so long as every other letter fits).
 */
export function find(hires: readonly FoundBy[], asked: string, now: Instant): Found[] {
  const query = asked.trim().slice(0, 60);
  const plate = bare(query);
  if (plate.length < 2) return [];
  const digits = /^[\d\s+()-]+$/.test(query) ? query.replace(/\D/g, "").replace(/^(44|0)/, "") : "";
  const found = new Map<string, Found & { off: number }>();
  for (const hire of hires) {
    const phone =
      digits.length >= fewestDigits && hire.phones.find((p) => p.number.endsWith(digits));
    if (phone) found.set(hire.id, { hire, person: phone.person, off: 0 });
    else if (bare(hire.registration).includes(plate) || bare(hire.reference ?? "") === plate)
      found.set(hire.id, { hire, off: 0 });
  }
  const names = new Fuse(hires, {
    keys: ["surname", { name: "booker", weight: 0.5 }],
    includeScore: true,
    ignoreDiacritics: true,
    threshold: 0.4,
  });
  for (const { item, score = 1 } of names.search(query))
    if (!found.has(item.id)) found.set(item.id, { hire: item, off: score });
  const tier = (off: number) => (off < 0.1 ? 0 : off < 0.25 ? 1 : 2);
  return [...found.values()]
    .sort(
      (a, b) =>
        tier(a.off) - tier(b.off) ||
        rank(a.hire, now) - rank(b.hire, now) ||
        a.off - b.off ||
        distance(a.hire, now) - distance(b.hire, now),
    )
    .slice(0, shown)
    .map(({ hire, person }) => ({ hire, ...(person === undefined ? {} : { person }) }));
}
