/** Danger as read by its signs, weighed with the model's view of it. Pure. */
import { dangerScale } from "./costs.js";
import type { Matcher } from "./items.js";
import type { Meant } from "./meant.js";
import { asksOutright } from "./reading/parts.js";
import { alarmOf } from "./scoring/alarm.js";
import { entryOf, round } from "./why.js";
import type { DangerVerdict } from "./words.js";

/** The danger layer's verdict, weighed with how likely the model holds any danger: log-odds added up. */
export function weighed(matcher: Matcher, read: DangerVerdict, m: Meant): DangerVerdict {
  const viewOf = (likely: Meant["likely"]) => {
    const among = likely.best.filter((b) => entryOf(matcher, b.item)?.kind === "danger");
    return { among, p: among.reduce((sum, b) => sum + b.p, 0) };
  };
  // A danger that is plain by its signs is one in any piece of the message, whatever the others ask.
  const asked = m.parts.some((part) => asksOutright(part.text));
  const all = asked ? m.parts : [...m.parts, ...m.clauses];
  const pieces = read.verdict === "danger" ? all.map((part) => part.likely) : [];
  const { among, p } = [m.likely, ...pieces].map(viewOf).reduce((a, b) => (b.p > a.p ? b : a));
  const { sign, model, alarm, base, danger, doubt, sure } = dangerScale;
  // The model knows no word of another language, so it cannot speak against such signs; nor against many.
  const least = (read.weight ?? 0) >= sure ? 0 : read.foreign ? -1 : -8;
  const within = (logOdds: number) => Math.max(least, Math.min(8, logOdds));
  const odds = within(Math.log((p + 1e-4) / (Math.max(0, 1 - p) + 1e-4)));
  const alarmed = matcher.index.alarm
    ? within(alarmOf(matcher.index.alarm, m.ranking.reading))
    : odds;
  const total = sign * Math.min(6, read.weight ?? 0) + model * odds + alarm * alarmed + base;
  const verdict = total >= danger ? "danger" : total >= doubt ? "doubt" : "none";
  const id =
    read.verdict !== "none" ? read.id : (matcher.items[among[0]?.item ?? -1]?.id ?? read.id);
  const because = [
    ...read.because,
    `danger ${round(total)}: signs ${round(read.weight ?? 0)}, model ${round(odds)}, alarm ${round(alarmed)}`,
  ];
  return { verdict: id ? verdict : "none", because, ...(id ? { id } : {}) };
}
