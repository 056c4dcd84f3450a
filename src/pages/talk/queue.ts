/** What the hirer wrote and the service has not yet confirmed: sent in order, each once, again until it is there. */
import type { Kept, Queued } from "../kept.js";
import { fetchWithin, photoMs } from "../within.js";

const timeoutMs = { words: 20_000, photos: photoMs };
const pauseMs = { first: 1000, longest: 30_000 };

type Lane = { photos: boolean; busy: boolean; again: boolean; pause: number };
/** `held`: there were too many at once; danger passes all the same. */
type Outcome = { sent: true } | { sent: false; later: boolean; why?: string; held?: boolean };

/** Words never wait behind a photo: each has a lane of its own. `changed` is called whenever something looks different. */
export class Queue {
  readonly #kept: Kept;
  readonly #changed: () => void;
  readonly #of: string;
  readonly #lanes: Lane[] = [false, true].map((photos) => ({
    photos,
    busy: false,
    again: false,
    pause: pauseMs.first,
  }));
  #items: Queued[];

  /** `of`: whose page it is, as part of an address. */
  constructor(kept: Kept, of: string, changed: () => void) {
    this.#kept = kept;
    this.#of = of;
    this.#changed = changed;
    this.#items = kept.all();
  }

  get items(): readonly Queued[] {
    return this.#items;
  }

  /** Takes it into the queue and sends it when its turn comes. `photo`: kept until it is sent. */
  async add(
    path: Queued["path"],
    body: Record<string, unknown>,
    shown: string,
    photo?: Blob,
  ): Promise<void> {
    const id = crypto.getRandomValues(new Uint32Array(4)).reduce((s, n) => s + n.toString(36), "");
    const item: Queued = { id, path, body, shown, writtenAt: Date.now(), state: "waiting" };
    this.#items.push(item);
    if (photo) await this.#kept.putPhoto(id, photo);
    this.#keep(item);
    this.flush();
  }

  /** The service has it in the trip log: it is no longer ours. */
  confirm(id: string): void {
    if (!this.#items.some((q) => q.id === id)) return;
    this.#items = this.#items.filter((q) => q.id !== id);
    this.#kept.drop(id);
    this.#changed();
  }

  /** Sends one again that was refused or waits. */
  retry(id: string): void {
    const item = this.#items.find((q) => q.id === id);
    if (item?.state === "refused") {
      item.state = "waiting";
      this.#keep(item);
    }
    this.flush();
  }

  /** The hirer takes back what was not sent. */
  forget(id: string): void {
    this.confirm(id);
  }

  /** Another page of this hire changed what is kept. */
  reread(): void {
    const kept = new Map(this.#kept.all().map((q) => [q.id, q]));
    const here = new Set(this.#items.map((q) => q.id));
    this.#items = this.#items.filter((q) => kept.has(q.id) || q.state === "sending");
    for (const q of kept.values()) if (!here.has(q.id)) this.#items.push(q);
    this.#changed();
  }

  /** Sends what waits; the first that cannot be sent now keeps its lane waiting, for longer each time. Words that are too many keep back none but themselves. */
  flush(atOnce = false): void {
    for (const lane of this.#lanes) {
      if (atOnce) lane.pause = pauseMs.first;
      void this.#run(lane);
    }
  }

  async #run(lane: Lane): Promise<void> {
    lane.again = lane.busy;
    if (lane.busy) return;
    lane.busy = true;
    const late = new Set<Queued>();
    try {
      for (;;) {
        const next = this.#items.find(
          (q) => q.state === "waiting" && (q.path === "photo") === lane.photos && !late.has(q),
        );
        if (!next) break;
        next.state = "sending";
        this.#changed();
        const outcome = await this.#send(next);
        if (outcome.sent || outcome.why === undefined) delete next.why;
        else next.why = outcome.why;
        if (!outcome.sent && outcome.later) {
          next.state = "waiting";
          this.#keep(next);
          late.add(next);
          // What was written after it is tried once, too: it may be a danger.
          if (outcome.held && !lane.photos) continue;
          break;
        }
        if (late.size === 0) lane.pause = pauseMs.first;
        next.state = outcome.sent ? "sent" : "refused";
        // Confirmed meanwhile by the talk itself: then it is gone already.
        if (this.#items.includes(next)) this.#keep(next);
      }
      if (late.size > 0) {
        setTimeout(() => this.flush(), lane.pause);
        lane.pause = Math.min(lane.pause * 2, pauseMs.longest);
      }
    } finally {
      lane.busy = false;
      if (lane.again) void this.#run(lane);
    }
  }

  async #send(q: Queued): Promise<Outcome> {
    try {
      const answer = q.path === "photo" ? await this.#sendPhoto(q) : await this.#sendWords(q);
      if (!answer)
        return { sent: false, later: false, why: "The photo is no longer on this phone." };
      // 408, 425, 429 and whatever the service or a proxy could not do: not now, but later.
      if ([408, 425, 429].includes(answer.status) || answer.status >= 500)
        return { sent: false, later: true, held: answer.status === 429 };
      const read: unknown = await answer.json().catch(() => undefined);
      const said: { ok?: unknown; error?: unknown } = Object(read);
      // A portal or a proxy may answer 200 in our place: only the service says that it has it.
      if (answer.ok) return said.ok === true ? { sent: true } : { sent: false, later: true };
      // 409: later too, when the device is connected to this hire again.
      return {
        sent: false,
        later: answer.status === 409,
        why: String(said.error ?? "") || "It was refused.",
      };
    } catch {
      return { sent: false, later: true };
    }
  }

  #sendWords(q: Queued): Promise<Response> {
    return fetchWithin(timeoutMs.words, `/chat/${q.path}?${this.#of}`, {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: "application/json" },
      body: JSON.stringify({ ...q.body, id: q.id, writtenAt: q.writtenAt, sentAt: Date.now() }),
    });
  }

  async #sendPhoto(q: Queued): Promise<Response | undefined> {
    const photo = await this.#kept.photo(q.id);
    if (!photo) return undefined;
    const clock = `at=${q.writtenAt}&sent=${Date.now()}`;
    return fetchWithin(timeoutMs.photos, `/chat/photo?id=${q.id}&${clock}&${this.#of}`, {
      method: "POST",
      headers: {
        "Content-Type": photo.type || "application/octet-stream",
        Accept: "application/json",
      },
      body: photo,
    });
  }

  #keep(item: Queued): void {
    this.#kept.put(item);
    this.#changed();
  }
}
