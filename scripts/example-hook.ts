/**
 * An example receiver of the staff hook: checks, prints, and answers as somebody would by telephone. In place of
 * a telephone it has this terminal: 1 takes the last alert, 2 has only heard it, 0 did not answer.
 *   HOOK_SECRET=whsec_… node dist/scripts/example-hook.js [--port 4100] [--service http://127.0.0.1:3000]
 */
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { type Listening, listen, post, secretOrExit } from "./example-signing.js";

export type Alert = {
  id: string;
  contact: { id: string; name: string; phone: string };
  ring: boolean;
  severity: string | null;
  say: string;
  text: string;
  hire: string | null;
  callout: number | null;
  canTake: boolean;
  desk: string;
};
export type ExampleHook = Listening & {
  alerts: Alert[];
  /** Answers an alert; gives the service's status. */
  answer(alert: Alert, did: "take" | "read" | "failed"): Promise<number>;
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
    answer: ({ id, contact, hire, callout }, did) =>
      post(`${service()}/hook/answers`, secret, {
        type: "answer",
        id,
        contact: contact.id,
        did,
        ...(did === "failed" ? { why: "no-answer" } : { hire, callout }),
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
  console.log(`Listening on ${hook.url}. Keys: 1 take, 2 heard, 0 did not answer.`);
  const keys: Record<string, "take" | "read" | "failed"> = { 1: "take", 2: "read", 0: "failed" };
  for await (const line of createInterface(process.stdin)) {
    const did = keys[line.trim()];
    const alert = hook.alerts.at(-1);
    if (did && alert) console.log(`${did}: ${await hook.answer(alert, did)}`);
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) await main();
