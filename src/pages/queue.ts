/** What the hirer wrote and the service has not yet confirmed: kept in the browser, sent in order, each once. */
export type Queued = {
  id: string;
  path: "say" | "tap" | "place";
  body: Record<string, unknown>;
  /** What the talk shows meanwhile. */
  shown: string;
  writtenAt: number;
  state: "waiting" | "sending" | "sent" | "refused";
  why?: string;
};

const timeoutMs = 20_000;

/** A queue under a key of localStorage. `changed` is called whenever its content or a state changes. */
export class Queue {
  readonly #key: string;
  readonly #changed: () => void;
  #items: Queued[];
  #busy = false;
  #pauseMs = 1000;

  constructor(key: string, changed: () => void) {
    this.#key = key;
    this.#changed = changed;
    this.#items = this.#load();
  }

  get items(): readonly Queued[] {
    return this.#items;
  }

  add(path: Queued["path"], body: Record<string, unknown>, shown: string): void {
    const id = crypto.getRandomValues(new Uint32Array(4)).reduce((s, n) => s + n.toString(36), "");
    this.#items.push({ id, path, body, shown, writtenAt: Date.now(), state: "waiting" });
    this.#keep();
    void this.flush();
  }

  /** The service has it in the trip log: it is no longer ours. */
  confirm(id: string): void {
    const left = this.#items.filter((q) => q.id !== id);
    if (left.length === this.#items.length) return;
    this.#items = left;
    this.#keep();
  }

  retry(id: string): void {
    for (const q of this.#items) if (q.id === id) q.state = "waiting";
    this.#keep();
    void this.flush();
  }

  /** Sends what waits, in order; stops at the first that cannot be sent now and tries again later. */
  async flush(): Promise<void> {
    if (this.#busy) return;
    this.#busy = true;
    try {
      for (const q of this.#items) {
        if (q.state === "sent" || q.state === "refused") continue;
        q.state = "sending";
        this.#changed();
        const outcome = await this.#send(q);
        if (outcome === "later") {
          q.state = "waiting";
          this.#keep();
          setTimeout(() => void this.flush(), this.#pauseMs);
          this.#pauseMs = Math.min(this.#pauseMs * 2, 30_000);
          return;
        }
        this.#pauseMs = 1000;
        q.state = outcome === "sent" ? "sent" : "refused";
        if (outcome !== "sent") q.why = outcome;
        this.#keep();
      }
    } finally {
      this.#busy = false;
    }
  }

  async #send(q: Queued): Promise<string> {
    try {
      const answer = await fetch(`/chat/${q.path}`, {
        method: "POST",
        headers: { "Content-Type": "application/json", Accept: "application/json" },
        body: JSON.stringify({ ...q.body, id: q.id, writtenAt: q.writtenAt }),
        signal: AbortSignal.timeout(timeoutMs),
      });
      if (answer.ok) return "sent";
      if (answer.status === 429 || answer.status >= 500) return "later";
      const said: unknown = await answer.json().catch(() => ({}));
      return typeof said === "object" && said !== null && "error" in said
        ? String(said.error)
        : "It was refused.";
    } catch {
      return "later";
    }
  }

  #keep(): void {
    try {
      localStorage.setItem(this.#key, JSON.stringify(this.#items));
    } catch {
      // Storage full or forbidden: the queue still lives as long as the page.
    }
    this.#changed();
  }

  #load(): Queued[] {
    try {
      const items: Queued[] = JSON.parse(localStorage.getItem(this.#key) ?? "[]");
      return items.map((q) => (q.state === "sending" ? { ...q, state: "waiting" } : q));
    } catch {
      return [];
    }
  }
}
