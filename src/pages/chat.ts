/** The hirer's page in the browser: puts talk, queue, stream, place and photos together. */
import { Kept } from "./kept.js";
import { NoSignal } from "./offline/no-signal.js";
import { keepTalk } from "./offline/snapshot.js";
import { fitToSend } from "./photo.js";
import { Below } from "./talk/below.js";
import { Queue } from "./talk/queue.js";
import { addMessage, ownId, type Shown, Waiting } from "./talk/talk.js";
import { fetchWithin } from "./within.js";

const find = <T extends Element>(selector: string): T => {
  const found = document.querySelector<T>(selector);
  if (!found) throw new Error(`the page has no ${selector}`);
  return found;
};
const talk = find<HTMLOListElement>("#talk");
const form = find<HTMLFormElement>("#say");
const box = find<HTMLTextAreaElement>("#text");
const state = find<HTMLParagraphElement>("#state");
const { hire = "", person = "" } = document.body.dataset;
/** Whose page this is, in the address of all that it asks and sends: the device may be connected to another hire since. */
const of = String(new URLSearchParams({ hire, person }));
const title = document.title;
let last = Number(document.body.dataset["last"] ?? 0);
const lookAgainMs = 60_000;
const lookMs = 20_000;

/** News at the foot of the talk; what is told of the connection goes when it is back, all else stays until the next. */
let ofConnection = false;
const tell = (text: string, connection = false) => {
  ofConnection = connection;
  state.classList.toggle("unseen", noSignal.shown && ofConnection);
  if (state.textContent !== text) state.textContent = text;
};
const nearEnd = () => window.innerHeight + window.scrollY > document.body.scrollHeight - 200;
const endOf = (element: Element) => element.getBoundingClientRect().bottom;
const toEnd = () => window.scrollTo({ top: document.body.scrollHeight });

const below = new Below(find("#below"));
const kept = new Kept(`talk:${hire}:${person}`);
const waiting = new Waiting(find("#queue"), kept, {
  retry: (id) => queue.retry(id),
  forget: (id) => queue.forget(id),
});
const queue: Queue = new Queue(kept, of, () => {
  const stay = nearEnd();
  waiting.draw(queue.items);
  if (stay) toEnd();
});

const noSignal = new NoSignal(find("#no-signal"), (grow) => {
  // Whoever reads the end of the talk sees the whole panel, however much it adds.
  const stay = nearEnd() || queue.items.length > 0;
  grow();
  // The panel says the same and more; the line stays for screen readers.
  state.classList.toggle("unseen", noSignal.shown && ofConnection);
  if (stay) toEnd();
});

let keeping: ReturnType<typeof setTimeout> | undefined;
/** The talk is kept a moment after it changed, not with every message of a row. */
function keepSoon(): void {
  clearTimeout(keeping);
  keeping = setTimeout(() => void keepTalk(), 500);
}

/** Empties the talk, for one that comes whole: the service does not know the last message that stands here. */
function empty(): void {
  last = 0;
  talk.replaceChildren();
}

/** Puts messages that came into the talk; a long answer is read from its beginning. */
function take(messages: readonly Shown[]): void {
  const fresh = messages.filter((m) => m.n > last);
  if (fresh.length === 0) return;
  const stay = nearEnd();
  keepSoon();
  const theirs: Element[] = [];
  for (const message of fresh) {
    last = message.n;
    // With the page, wherever it is kept: what stands in it never comes twice.
    document.body.dataset["last"] = String(last);
    const element = addMessage(talk, message);
    if (message.mine) queue.confirm(ownId(message.key));
    else if (element) theirs.push(element);
  }
  const [first] = theirs;
  if (first && document.visibilityState === "hidden") document.title = `New: ${title}`;
  // "Stop somewhere safe" stands in the first line: the beginning must be on the screen.
  const long = first && endOf(talk) - first.getBoundingClientRect().top > window.innerHeight / 2;
  if (stay && long) first?.scrollIntoView({ block: "start" });
  else if (stay) toEnd();
  below.came(theirs);
}

/** Fetches what came after the last message that is shown. */
let fetching = false;
async function catchUp(): Promise<void> {
  if (fetching) return;
  fetching = true;
  const since = last;
  try {
    const answer = await fetchWithin(lookMs, `/chat/messages?since=${since}&${of}`, {
      headers: { Accept: "application/json" },
    });
    if (answer.status === 401 || answer.status === 409)
      tell("This page is closed: please open the link in your booking message again.");
    if (!answer.ok) return;
    const messages = (await answer.json()) as Shown[];
    const [first] = messages;
    if (first && first.n < since) empty();
    take(messages);
  } catch {
    offline();
  } finally {
    fetching = false;
  }
}
function offline(): void {
  const words = navigator.onLine
    ? "Connecting …"
    : "No signal: what you write waits here, and nobody has been told. In danger, ring.";
  tell(words, true);
  noSignal.begin(!navigator.onLine);
}

let stream: EventSource | undefined;
function listen(): void {
  stream?.close();
  const opened = new EventSource(`/chat/stream?since=${last}&${of}`);
  stream = opened;
  opened.addEventListener("message", (event) => {
    if (navigator.onLine) {
      noSignal.end();
      if (ofConnection) tell("");
    }
    const message = JSON.parse(String(event.data)) as Shown | { n: 0; anew?: true };
    if ("html" in message) return take([message]);
    if (message.anew) empty();
    queue.flush(true);
  });
  opened.addEventListener("error", () => {
    offline();
    // After some answers the browser gives up for good; the page does not.
    if (opened.readyState !== EventSource.CLOSED || stream !== opened) return;
    void catchUp();
    setTimeout(() => stream === opened && listen(), 5000);
  });
}

function send(): void {
  const text = box.value.trim();
  if (text === "") return;
  box.value = "";
  box.style.height = "";
  void queue.add("say", { text }, text);
  noSignal.wrote(text);
  toEnd();
}
form.addEventListener("submit", (event) => {
  event.preventDefault();
  send();
  box.focus();
});
box.addEventListener("keydown", (event) => {
  // On a keyboard Enter sends; on a phone it makes a line.
  const keyboard = matchMedia("(hover: hover)").matches;
  if (event.key !== "Enter" || event.shiftKey || event.isComposing || !keyboard) return;
  event.preventDefault();
  send();
});
box.addEventListener("input", () => {
  box.style.height = "auto";
  box.style.height = `${Math.min(box.scrollHeight + 4, 160)}px`;
});

talk.addEventListener("submit", (event) => {
  const taps = (event.target as Element).closest<HTMLFormElement>("form.taps");
  const button = (event as SubmitEvent).submitter as HTMLButtonElement | null;
  if (!taps || !button) return;
  event.preventDefault();
  for (const b of taps.querySelectorAll("button")) {
    b.classList.toggle("chosen", b === button);
    b.setAttribute("aria-pressed", String(b === button));
  }
  void queue.add("tap", { tap: button.value }, button.textContent ?? "");
  toEnd();
});

/** Pictures open large over the page; without script their link does it. */
const large = find<HTMLDialogElement>("#large");
talk.addEventListener("click", (event) => {
  const link = (event.target as Element).closest<HTMLAnchorElement>("a.picture, a.photo");
  const image = link?.querySelector("img");
  const shown = large.querySelector("img");
  if (!link || !image || !shown || event.ctrlKey || event.metaKey) return;
  event.preventDefault();
  shown.src = link.href;
  shown.alt = image.alt.replace(" Opens large.", "");
  large.showModal();
});
large.addEventListener("click", (event) => event.target === large && large.close());

/** The browser asks for consent by itself; without it the hirer is told what to write instead. */
function sharePlace(): void {
  // Browsers give the place only to pages that came by https.
  if (!("geolocation" in navigator))
    return tell(
      "This browser tells no place. Write road, direction and the nearest marker post or village.",
    );
  tell("Finding your place …");
  navigator.geolocation.getCurrentPosition(
    ({ coords }) => {
      tell("");
      const { latitude: lat, longitude: lon, accuracy: accuracyM } = coords;
      void queue.add(
        "place",
        { lat, lon, accuracyM },
        `My place: ${lat.toFixed(5)}, ${lon.toFixed(5)}`,
      );
      toEnd();
    },
    (error) =>
      tell(
        error.code === error.PERMISSION_DENIED
          ? "Your phone may not tell the place. Write road, direction and the nearest marker post or village."
          : "Your phone could not find the place. Write road, direction and the nearest marker post or village.",
      ),
    { enableHighAccuracy: true, timeout: 20_000, maximumAge: 60_000 },
  );
}
find<HTMLButtonElement>("#place").addEventListener("click", sharePlace);
talk.addEventListener("click", (event) => {
  if ((event.target as Element).closest(".share button")) sharePlace();
});
const photo = find<HTMLInputElement>("#photo");
photo.addEventListener("change", async () => {
  const file = photo.files?.[0];
  photo.value = "";
  if (!file) return;
  tell("Making the photo ready …");
  const ready = await fitToSend(file);
  if ("wrong" in ready) return tell(ready.wrong);
  tell(ready.shrunk ?? "");
  await queue.add("photo", {}, ready.shrunk ?? "", ready.photo);
  toEnd();
});

window.addEventListener("storage", (event) => {
  if (kept.owns(event.key)) queue.reread();
});
window.addEventListener("online", () => {
  queue.flush(true);
  void catchUp();
});
window.addEventListener("offline", offline);
function looked(): void {
  if (document.visibilityState !== "visible") return;
  document.title = title;
  queue.flush(true);
  if (stream?.readyState === EventSource.CLOSED) listen();
  void catchUp();
}
document.addEventListener("visibilitychange", looked);
window.addEventListener("pageshow", (event) => event.persisted && looked());
// Behind the stream: a page in use is never older than a minute, whatever a network does to quiet connections.
setInterval(() => document.visibilityState === "visible" && void catchUp(), lookAgainMs);

// What came back in the talk while this page was closed is no longer on its way.
for (const element of talk.querySelectorAll<HTMLElement>("li[data-key]"))
  if (element.dataset["key"]) queue.confirm(ownId(element.dataset["key"]));
waiting.draw(queue.items);
toEnd();
if (!navigator.onLine) {
  offline();
  noSignal.wrote(queue.items.filter((q) => q.path === "say").at(-1)?.shown ?? "");
}
listen();
queue.flush();
// Fetched by itself, so that buttons work one round trip earlier.
void import("./offline/keep.js")
  .then(({ keep }) => keep())
  .then((kept) => {
    if (!kept) return;
    find("#kept").textContent = "Kept on this phone: works without signal";
    keepSoon();
  })
  .catch(() => {});
