/**
 * An example receiver of the staff hook: checks, prints, and answers as somebody would by telephone. In place of
 * a telephone it has this terminal: 1 to 9 press a key of the last alert, "h" has only heard it, "n" did not answer.
 *   HOOK_SECRET=whsec_… node dist/scripts/examples/hook.js [--port 4100] [--service http://127.0.0.1:3000]
 */
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { type Listening, listen, post, secretOrExit } from "./signing.js";

export type Alert = {
  id: string;
  contact: { id: string; name: string; phone: string };
  ring: boolean;
  severity: string | null;
  say: string;
  text: string;
  keys: { key: number; label: string }[];
  hire: string | null;
  callout: number | null;
  desk: string;
};
export type ExampleHook = Listening & {
  alerts: Alert[];
  /** Answers an alert; gives the service's status. */
  answer(alert: Alert, did: "take" | "press" | "read" | "failed", key?: number): Promise<number>;
};

/** Opens it. `service`: where the service listens. */
export async function openExampleHook(options: {
  secret: string;
  service: () => string;
  port?: number;
  print?: (line: string) => void;
}): Promise<ExampleHook> {
  const { secret, service, port = 0, print = console.log } = options;
  const alerts: Alert[] = [];
  const listening = await listen(secret, port, (value) => {
    const alert = value as Alert;
    alerts.push(alert);
    print(
      `${alert.ring ? "RING" : "text"} ${alert.contact.name} ${alert.contact.phone}: ${alert.say}`,
    );
  });
  return {
    ...listening,
    alerts,
    answer: ({ id, contact }, did, key = 1) =>
      post(`${service()}/hook/answers`, secret, {
        type: "answer",
        id,
        contact: contact.id,
        did,
        ...(did === "press" ? { key } : {}),
        ...(did === "failed" ? { why: "no-answer" } : {}),
      }),
  };
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      port: { type: "string", default: "4100" },
      service: { type: "string", default: "http://127.0.0.1:3000" },
    },
  });
  const secret = secretOrExit("HOOK_SECRET");
  const service = () => values.service;
  const hook = await openExampleHook({ secret, service, port: Number(values.port) });
  console.log(`Listening on ${hook.url}. Keys of the last alert: 1 to 9; h heard, n no answer.`);
  for await (const line of createInterface(process.stdin)) {
    const typed = line.trim();
    const did = typed === "h" ? "read" : typed === "n" ? "failed" : "press";
    const alert = hook.alerts.at(-1);
    if (alert && (did !== "press" || /^[1-9]$/.test(typed)))
      console.log(`${did}: ${await hook.answer(alert, did, Number(typed) || 1)}`);
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) await main();
