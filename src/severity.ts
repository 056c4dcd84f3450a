/** How much is at stake in a light, a fault or a danger. Without any schema, as phones load it. */

/** The worst first. */
export const severities = ["danger", "stop", "soon", "note"] as const;
export type Severity = (typeof severities)[number];

/** 0 for the worst; of two, the lower is worse. */
export const gravity = (severity: Severity): number => severities.indexOf(severity);
export const worse = (a: Severity, b: Severity): boolean => gravity(a) < gravity(b);
export const worst = (a: Severity, b: Severity): Severity => (worse(b, a) ? b : a);

/** Whether life is at stake, or the van must not move. */
export const isGrave = (severity: Severity | null | undefined): severity is "danger" | "stop" =>
  severity === "danger" || severity === "stop";

/** What staff read. */
export const severityWords: Readonly<Record<Severity, string>> = {
  danger: "danger to life",
  stop: "must not move",
  soon: "may move gently",
  note: "a question",
};

/** The shape that stands beside each one's word and colour, drawn alike on every page. */
export const shapes: Readonly<Record<Severity, string>> = {
  danger: "▲",
  stop: "■",
  soon: "◆",
  note: "●",
};
