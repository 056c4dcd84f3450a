/**
 * Stands between the hirer's pages and the network: keeps the pack of the hire, and gives it where there is
 * no signal. It sends nothing and keeps no message: what a hirer writes waits in the page's own queue.
 */
export {};

type Waits = Event & { waitUntil(until: Promise<unknown>): void };
type Fetched = Waits & { request: Request; respondWith(answer: Promise<Response>): void };
type Pack = { over?: true; name: string; until: number; files: string[] };
const own = self as unknown as {
  location: Location;
  registration: ServiceWorkerRegistration;
  clients: { claim(): Promise<void> };
  skipWaiting(): Promise<void>;
  addEventListener(kind: "install" | "activate" | "message", act: (event: Waits) => void): void;
  addEventListener(kind: "fetch", act: (event: Fetched) => void): void;
};

const ours = "van-";
/** Says in a cache until when it is of use; no page has this address. */
const until = "/chat/kept-until";
/** Where the network is so slow, what is kept is shown at once; the newer page comes when it comes. */
const patienceMs = 4_000;

async function dropAll(but = ""): Promise<void> {
  const names = (await caches.keys()).filter((name) => name.startsWith(ours) && name !== but);
  await Promise.all(names.map((name) => caches.delete(name)));
}

/** The cache that holds, unless its time is over. */
async function kept(): Promise<Cache | undefined> {
  for (const name of await caches.keys()) {
    if (!name.startsWith(ours)) continue;
    const cache = await caches.open(name);
    const mark = await cache.match(until);
    // Without the mark it was never whole.
    if (!mark) continue;
    if (Number(await mark.text()) > Date.now()) return cache;
    await caches.delete(name);
  }
  return undefined;
}

/** So many files are fetched at a time: on a weak signal what the hirer writes meanwhile finds a way too. */
const atOnce = 3;

/** Fetches what is not kept yet, so that a signal that comes and goes gets it together. The talk is fetched anew. */
async function fill(cache: Cache, files: readonly string[]): Promise<void> {
  const rest = [...files];
  const some = async () => {
    for (let file = rest.shift(); file !== undefined; file = rest.shift())
      if (file === "/chat" || !(await cache.match(file))) await cache.add(file);
  };
  await Promise.all(Array.from({ length: atOnce }, some));
}

/** Asks which pack holds, and fetches it where it is another one. An ended hire, another person, or a link that was replaced, leaves nothing behind. */
async function look(): Promise<void> {
  const answer = await fetch("/chat/pack", { headers: { Accept: "application/json" } });
  if (answer.status === 401) return dropAll();
  if (!answer.ok) return;
  const pack = (await answer.json()) as Pack;
  if (pack.over) return dropAll();
  const cache = await caches.open(pack.name);
  const whole = await cache.match(until);
  if (!whole) await fill(cache, pack.files);
  await cache.put(until, new Response(String(pack.until)));
  await dropAll(pack.name);
}

/** One look after the other: of two at once, each would drop what the other fetches. */
let looking = Promise.resolve();

own.addEventListener("install", () => void own.skipWaiting());
own.addEventListener("activate", (event) => event.waitUntil(own.clients.claim()));
own.addEventListener("message", (event) => {
  const port = (event as unknown as MessageEvent).ports[0];
  // No signal, or no room: what was kept before is kept.
  looking = looking.then(look).catch(() => {});
  event.waitUntil(
    looking.then(async () => port?.postMessage({ kept: (await kept()) !== undefined })),
  );
});

/** A page: fresh where there is a network, else as it was kept. */
async function pageOf(request: Request): Promise<Response> {
  const cache = await kept();
  const found = await cache?.match(request, { ignoreSearch: true, ignoreVary: true });
  const fresh = fetch(request).then(async (answer) => {
    if (answer.status === 401) await dropAll();
    const { pathname, search } = new URL(request.url);
    if (answer.ok && !answer.redirected && pathname === "/chat" && search === "")
      await cache?.put("/chat", answer.clone());
    // A proxy that says that we are down is no page.
    return answer.status >= 500 && found ? found : answer;
  });
  if (!found) return fresh;
  const slow = new Promise<Response>((done) => setTimeout(() => done(found), patienceMs));
  return Promise.race([fresh.catch(() => found), slow]);
}

/** Code, drawings, words: as they are kept, so that they come at once on the weakest signal; a newer pack brings newer ones. */
async function fileOf(request: Request): Promise<Response> {
  const found = await (await kept())?.match(request, { ignoreVary: true });
  return found ?? fetch(request);
}

own.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== own.location.origin) return;
  if (request.mode === "navigate" && /^\/chat(\/(guide|steps))?$/.test(pathname))
    event.respondWith(pageOf(request));
  else if (/^\/(pages|pictures)\/|^\/chat\/words$|^\/app\.webmanifest$/.test(pathname))
    event.respondWith(fileOf(request));
});
