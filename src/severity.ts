/** How much is at stake in a light, a fault or a danger. Without any schema, as phones load it. */

/** The worst first. */
export const severities = ["danger", "stop", "soon", "note"] as const;
export type Severity = (typeof severities)[number];
