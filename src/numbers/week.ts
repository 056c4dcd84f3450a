/** What a firm wants to know of its weeks, counted from what is stored. Pure. */
import { addDays, dayOf, type Instant, minuteMs, weekdayOf } from "../calendar.js";
import { takenFor } from "../matching/choose.js";
import { isGrave, type Severity } from "../severity.js";
import { type Heard, missed } from "../wordings/missed.js";

export type Message = Heard & { registration: string };
/** A call-out; `takenAt`: when somebody of staff first had it, joined it to another or ended it. */
export type Opened = {
  registration: string;
  severity: Severity;
  openedAt: Instant;
  takenAt?: Instant;
};
/** A reminder that needs a reply. */
export type Asked = { registration: string; sentAt: Instant; answeredAt?: Instant };
export type Facts = {
  messages: readonly Message[];
  opened: readonly Opened[];
  asked: readonly Asked[];
};

type Numbers = {
  /** Messages in words. */
  messages: number;
  /** Of these, questions: what an entry could answer. Greetings, readings and troubles are none. */
  questions: number;
  /** Questions that were told an answer, or chose one, and nobody said that it was something else. */
  alone: number;
  callouts: number;
  /** Minutes from opening until taken, of danger and stop, and of the rest; sorted. */
  grave: number[];
  other: number[];
  /** Call-outs that nobody has taken. */
  untaken: number;
  checks: number;
  checksDone: number;
};
export type Row = Numbers & { week: string; registration: string };

const days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
/** The Monday of an instant's week, in the zone. */
export function weekOf(at: Instant, zone: string): string {
  const day = dayOf(at, zone);
  return addDays(day, -days.indexOf(weekdayOf(day)));
}

const none = (): Numbers => ({
  ...{ messages: 0, questions: 0, alone: 0, callouts: 0, grave: [], other: [], untaken: 0 },
  ...{ checks: 0, checksDone: 0 },
});

/** One row a week and van in which anything was, the latest week first. Weeks begin on Monday, in the zone. */
export function numbersOf({ messages, opened, asked }: Facts, zone: string): Row[] {
  const rows = new Map<string, Row>();
  const row = (at: Instant, registration: string): Row => {
    const week = weekOf(at, zone);
    const key = `${week} ${registration}`;
    const found = rows.get(key) ?? { week, registration, ...none() };
    rows.set(key, found);
    return found;
  };
  const not = new Set(
    missed(messages).flatMap((m) => (m.how === "chose" ? [] : [`${m.lane} ${m.n}`])),
  );
  for (const m of messages) {
    if (m.tap !== undefined) continue;
    const to = row(m.at, m.registration);
    to.messages++;
    const taken = takenFor(m.because)?.outcome;
    if (!taken || taken === "courtesy" || taken === "triage") continue;
    to.questions++;
    if (!not.has(`${m.lane} ${m.n}`)) to.alone++;
  }
  for (const { registration, severity, openedAt, takenAt } of opened) {
    const to = row(openedAt, registration);
    to.callouts++;
    if (takenAt === undefined) to.untaken++;
    else (isGrave(severity) ? to.grave : to.other).push((takenAt - openedAt) / minuteMs);
  }
  for (const { registration, sentAt, answeredAt } of asked) {
    const to = row(sentAt, registration);
    to.checks++;
    if (answeredAt !== undefined) to.checksDone++;
  }
  return [...rows.values()]
    .map((r) => ({ ...r, grave: r.grave.sort(up), other: r.other.sort(up) }))
    .sort((a, b) =>
      a.week === b.week ? (a.registration < b.registration ? -1 : 1) : a.week < b.week ? 1 : -1,
    );
}
const up = (a: number, b: number) => a - b;

/** Rows added up, one a week or one a van, in the order in which each first comes. */
export function summed(rows: readonly Row[], by: "week" | "registration"): Row[] {
  const sums = new Map<string, Row>();
  for (const r of rows) {
    const s = sums.get(r[by]);
    sums.set(r[by], {
      week: by === "week" ? r.week : "",
      registration: by === "registration" ? r.registration : "",
      messages: (s?.messages ?? 0) + r.messages,
      questions: (s?.questions ?? 0) + r.questions,
      alone: (s?.alone ?? 0) + r.alone,
      callouts: (s?.callouts ?? 0) + r.callouts,
      grave: [...(s?.grave ?? []), ...r.grave].sort(up),
      other: [...(s?.other ?? []), ...r.other].sort(up),
      untaken: (s?.untaken ?? 0) + r.untaken,
      checks: (s?.checks ?? 0) + r.checks,
      checksDone: (s?.checksDone ?? 0) + r.checksDone,
    });
  }
  return [...sums.values()];
}

/** The middle one of sorted figures; of an even number the mean of the two in the middle. Undefined of none. */
export function median(sorted: readonly number[]): number | undefined {
  const [low, high] = [
    sorted[Math.floor((sorted.length - 1) / 2)],
    sorted[Math.floor(sorted.length / 2)],
  ];
  return low === undefined || high === undefined ? undefined : (low + high) / 2;
}

/** Entries by how often messages were taken for them first, or chose them; the most often first. */
export function askedMost(messages: readonly Message[], most = 20): [string, number][] {
  const counts = new Map<string, number>();
  const chose = new Map(
    missed(messages).flatMap((m) => (m.chose ? [[`${m.lane} ${m.n}`, m.chose] as const] : [])),
  );
  for (const m of messages) {
    const taken = m.tap === undefined ? takenFor(m.because) : undefined;
    if (!taken || taken.outcome === "courtesy" || taken.outcome === "person") continue;
    const id = taken.outcome === "choices" ? chose.get(`${m.lane} ${m.n}`) : taken.entries[0];
    if (id !== undefined) counts.set(id, (counts.get(id) ?? 0) + 1);
  }
  return [...counts].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1)).slice(0, most);
}
