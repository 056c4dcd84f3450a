/** Keeps the talk as it stands now in the pack of this person, so that it can be read without signal. */

/** Nothing happens where no pack is kept. Never throws. */
export async function keepTalk(): Promise<void> {
  try {
    const { hire, person } = document.body.dataset;
    const name = (await caches.keys()).find((n) => n.startsWith(`van-${hire}-${person}-`));
    const cache = name && (await caches.open(name));
    const before = cache && (await cache.match("/chat"));
    if (!cache || !before) return;
    // A newer version of us has come meanwhile: its headers and code do not fit this page; the next visit keeps it.
    const code = document.querySelector("script[src]")?.getAttribute("src") ?? "";
    const style = document.querySelector("style")?.textContent ?? "";
    const kept = await before.clone().text();
    // Another person of this hire has opened the talk on this phone since.
    if (!kept.includes(`data-hire="${hire}" data-person="${person}"`)) return;
    if (!kept.includes(code) || !kept.includes(style)) return;
    const page = document.documentElement.cloneNode(true) as HTMLElement;
    // What is on its way is drawn by the page itself when it opens.
    for (const part of page.querySelectorAll("#queue, #state, #no-signal .found"))
      part.replaceChildren();
    // Sizes that script has set are not allowed as attributes.
    for (const part of page.querySelectorAll("[style]")) part.removeAttribute("style");
    page.querySelector("#no-signal")?.setAttribute("hidden", "");
    page.querySelector("#large")?.removeAttribute("open");
    // With the headers it came with: the rules of what may run hold for the kept page too.
    const { headers } = before;
    await cache.put("/chat", new Response(`<!doctype html>${page.outerHTML}`, { headers }));
  } catch {
    // Storage is full or forbidden: then the page as it was loaded is what is kept.
  }
}
