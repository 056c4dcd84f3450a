/** Has the guide kept on this phone: starts the worker and asks it to look for a newer one. */

/** Says whether the pack of this hire is kept; undefined where this browser cannot keep it. Never throws. */
export async function keep(): Promise<boolean | undefined> {
  if (!("serviceWorker" in navigator)) return undefined;
  try {
    if (navigator.onLine)
      await navigator.serviceWorker.register("/chat-worker.js", { scope: "/chat" });
    const { active } = await navigator.serviceWorker.ready;
    if (!active) return undefined;
    const channel = new MessageChannel();
    const told = new Promise<boolean>((done) => {
      channel.port1.onmessage = (event: MessageEvent<{ kept: boolean }>) => done(event.data.kept);
    });
    active.postMessage("look", [channel.port2]);
    return await told;
  } catch {
    return undefined;
  }
}
