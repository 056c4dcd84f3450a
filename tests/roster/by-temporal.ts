/**
 * Who is on duty, computed in another way: instant by instant instead of by spans, and by the Temporal
 * proposal's polyfill (temporal-polyfill) instead of Luxon. Its "compatible" rule is ours: the first of two
 * equal clocks, and forward over a hole (RFC 5545, 3.3.5, says the same).
 */
import { Temporal } from "temporal-polyfill";
import type { FirmFile } from "../../src/knowledge/schema.js";

const names = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

export function onByTemporal(firm: FirmFile, at: number): string[] {
  const { zone } = firm;
  const { weekly, exceptions } = firm.roster;
  const wall = (day: Temporal.PlainDate, clock: string) =>
    day.toZonedDateTime({ timeZone: zone, plainTime: Temporal.PlainTime.from(clock) })
      .epochMilliseconds;
  const moment = (text: string) =>
    /(Z|[+-]\d\d:\d\d)$/.test(text)
      ? Temporal.Instant.from(text).epochMilliseconds
      : Temporal.PlainDateTime.from(text).toZonedDateTime(zone).epochMilliseconds;
  const runs = (day: Temporal.PlainDate, s: { from: string; to: string }) =>
    wall(day, s.from) <= at && at < wall(s.to > s.from ? day : day.add({ days: 1 }), s.to);
  const today = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone).toPlainDate();
  const owner = (contact: string, day: Temporal.PlainDate) => {
    const swap = exceptions.find(
      (e) =>
        e.kind === "swap" &&
        ((e.contact === contact && e.on === day.toString()) ||
          (e.with === contact && e.back === day.toString())),
    );
    if (swap?.kind !== "swap") return contact;
    return swap.contact === contact && swap.on === day.toString() ? swap.with : swap.contact;
  };
  const dated = exceptions.flatMap((e) => {
    if (e.kind !== "shift") return [];
    const day = Temporal.PlainDate.from(e.on);
    return runs(day, e) ? [{ contact: owner(e.contact, day), beside: e.beside }] : [];
  });
  const pattern = [today.subtract({ days: 1 }), today].flatMap((day) =>
    weekly
      .filter((s) => s.days.some((d) => d === names[day.dayOfWeek - 1]) && runs(day, s))
      .map((s) => owner(s.contact, day)),
  );
  const named = [...(dated.some((d) => !d.beside) ? [] : pattern), ...dated.map((d) => d.contact)];
  const aways = exceptions.flatMap((e) =>
    e.kind === "away" && moment(e.from) <= at && at < moment(e.to) ? [e] : [],
  );
  const there = (who: string, before: string[]): string[] => {
    const gone = aways.filter((a) => a.contact === who).reverse();
    if (gone.length === 0) return [who];
    const instead = gone.find((a) => a.instead)?.instead;
    return instead === undefined || [who, ...before].includes(instead)
      ? []
      : there(instead, [who, ...before]);
  };
  const on = new Set(named.flatMap((who) => there(who, [])));
  return [...on].filter((id) => firm.contacts[id]?.kind === "staff").sort();
}
