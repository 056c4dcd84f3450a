/** Whether the connection of a call to the Bot API stood: before that nothing of the call was sent. */
import { AsyncLocalStorage } from "node:async_hooks";
import { Agent as PlainAgent } from "node:http";
import { Agent as SecureAgent } from "node:https";

type Wire = { stood: boolean };

/** The wire of the call that is being made. */
const current = new AsyncLocalStorage<Wire>();

/** An agent that keeps its connections, and notes for each call that opens one whether it stands (with https: is secure). */
export function wiredAgent(apiRoot: string): PlainAgent {
  const isSecure = apiRoot.startsWith("https:");
  const agent = new (isSecure ? SecureAgent : PlainAgent)({ keepAlive: true });
  const connect = agent.createConnection.bind(agent);
  agent.createConnection = (options, done) => {
    const socket = connect(options, done);
    const wire = current.getStore();
    if (wire) {
      wire.stood = false;
      socket?.once(isSecure ? "secureConnect" : "connect", () => {
        wire.stood = true;
      });
    }
    return socket;
  };
  return agent;
}

/** Ends what an agent keeps open and idle: once a call has had no answer, the others may lead nowhere either. */
export function endIdle(agent: PlainAgent): void {
  for (const socket of Object.values(agent.freeSockets).flat()) socket?.destroy();
}

/** For one call, to be made through `run`. A call that opens no connection goes by one that stands. */
export function openWire(): { run<T>(call: () => T): T; stood(): boolean } {
  const wire: Wire = { stood: true };
  return { run: (call) => current.run(wire, call), stood: () => wire.stood };
}
