/** What waits to be sent, kept in the browser: one entry of localStorage each, photos in IndexedDB. */
export type Queued = {
  id: string;
  path: "say" | "tap" | "place" | "photo";
  body: Record<string, unknown>;
  /** What the talk shows meanwhile. */
  shown: string;
  /** Epoch ms by this phone's clock. */
  writtenAt: number;
  state: "waiting" | "sending" | "sent" | "refused";
  why?: string;
};

const database = "photos-to-send";
/** What was sent and never came back in the talk is forgotten after so long. */
const forgetMs = 24 * 3_600_000;

function photos<T>(mode: IDBTransactionMode, act: (store: IDBObjectStore) => IDBRequest<T>) {
  return new Promise<T>((resolve, reject) => {
    const opening = indexedDB.open(database, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore("photos");
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
      const db = opening.result;
      const tx = db.transaction("photos", mode);
      const request = act(tx.objectStore("photos"));
      tx.oncomplete = () => {
        db.close();
        resolve(request.result);
      };
      tx.onabort = () => {
        db.close();
        reject(tx.error);
      };
    };
  });
}

/**
 * The entries under a prefix. Each has its own key, so that two open pages of one hire never write over
 * each other. Where storage is full or forbidden, everything still lives as long as the page.
 */
export class Kept {
  readonly #prefix: string;
  readonly #blobs = new Map<string, Blob>();
  /** Those that storage did not take; only this page knows them. */
  readonly #memory = new Map<string, Queued>();

  constructor(prefix: string) {
    this.#prefix = `${prefix}:`;
  }

  /** In the order of writing. What was under way when the page closed waits again. */
  all(): Queued[] {
    const found = new Map<string, Queued>();
    try {
      for (let i = 0; i < localStorage.length; i++) {
        const key = localStorage.key(i) ?? "";
        if (!key.startsWith(this.#prefix)) continue;
        const item = JSON.parse(localStorage.getItem(key) ?? "null") as Queued | null;
        if (typeof item?.id !== "string") continue;
        if (item.state === "sent" && Date.now() - item.writtenAt > forgetMs) continue;
        found.set(item.id, item.state === "sending" ? { ...item, state: "waiting" } : item);
      }
    } catch {
      // Nothing is kept here.
    }
    for (const item of this.#memory.values()) found.set(item.id, item);
    return [...found.values()].sort((a, b) => a.writtenAt - b.writtenAt);
  }

  put(item: Queued): void {
    try {
      localStorage.setItem(this.#prefix + item.id, JSON.stringify(item));
      this.#memory.delete(item.id);
    } catch {
      this.#memory.set(item.id, item);
    }
  }

  /** Whether some are lost when this page is closed. */
  get forgetful(): boolean {
    return this.#memory.size > 0;
  }

  drop(id: string): void {
    this.#blobs.delete(id);
    this.#memory.delete(id);
    try {
      localStorage.removeItem(this.#prefix + id);
    } catch {
      // It was never there.
    }
    photos("readwrite", (store) => store.delete(id)).catch(() => {});
  }

  /** Whether a change of localStorage, made by another page, is one of ours. */
  owns(key: string | null): boolean {
    return key === null || key.startsWith(this.#prefix);
  }

  async putPhoto(id: string, photo: Blob): Promise<void> {
    this.#blobs.set(id, photo);
    await photos("readwrite", (store) => store.put(photo, id)).catch(() => {});
  }

  async photo(id: string): Promise<Blob | undefined> {
    const here = this.#blobs.get(id);
    if (here) return here;
    const found = await photos<unknown>("readonly", (store) => store.get(id)).catch(() => {});
    if (found instanceof Blob) this.#blobs.set(id, found);
    return found instanceof Blob ? found : undefined;
  }
}
