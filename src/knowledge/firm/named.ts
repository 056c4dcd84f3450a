/** Who is named where in the firm's contacts, roster and call orders. Pure. */
import type { FirmFile } from "../schema.js";
import type { Roster } from "./roster.js";

type Place = [path: (string | number)[], contact: string];

/** Every contact that a roster names, with its place in it. */
function contactsOfRoster(roster: Roster): Place[] {
  return [
    ...roster.weekly.map((s, i): Place => [["weekly", i, "contact"], s.contact]),
    ...roster.exceptions.flatMap((e, i): Place[] => {
      const other = e.kind === "away" ? e.instead : e.kind === "swap" ? e.with : undefined;
      const place: Place = [["exceptions", i, "contact"], e.contact];
      return other === undefined ? [place] : [place, [["exceptions", i], other]];
    }),
    [["fallback"], roster.fallback],
  ];
}

/** Every contact that roster, call orders and shift rules name; words such as "duty" are left out. */
export function contactsNamed(firm: FirmFile): Place[] {
  const { kinds, ...severities } = firm.callOrders;
  const orders = [
    ...Object.entries(severities).map(([key, order]) => ({ path: [key], order })),
    ...Object.entries(kinds).flatMap(([kind, own]) =>
      Object.entries(own).map(([key, order]) => ({
        path: ["kinds", kind, key],
        order: order ?? [],
      })),
    ),
  ];
  const listed = (order: readonly string[], path: string[], words: readonly string[]): Place[] =>
    order.flatMap((id, i): Place[] => (words.includes(id) ? [] : [[[...path, i], id]]));
  return [
    ...contactsOfRoster(firm.roster).map(([path, id]): Place => [["roster", ...path], id]),
    ...orders.flatMap(({ path, order }) => listed(order, ["callOrders", ...path], ["duty"])),
    ...listed(firm.shifts.tell, ["shifts", "tell"], ["previous", "next"]),
  ];
}
