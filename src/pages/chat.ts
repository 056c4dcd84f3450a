/** The hirer's page in the browser: local echo, a queue that survives a bad connection, news by event stream. */
import { Queue } from "./queue.js";

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
let last = Number(document.body.dataset["last"] ?? 0);

const words = {
  waiting: "Waiting for a connection",
  sending: "Sending",
  sent: "Sent",
  refused: "Not sent",
} as const;

const nearEnd = () => window.innerHeight + window.scrollY > document.body.scrollHeight - 160;
const toEnd = () => window.scrollTo({ top: document.body.scrollHeight });

/** Draws what is still ours below what the service has. */
function drawQueue(): void {
  for (const old of talk.querySelectorAll("li.queued")) old.remove();
  for (const q of queue.items) {
    const item = document.createElement("li");
    item.className = `mine queued ${q.state}`;
    const text = document.createElement("p");
    text.className = "text";
    text.textContent = q.shown;
    const note = document.createElement("p");
    note.className = "sending";
    note.textContent = q.state === "refused" ? `${words.refused}. ${q.why ?? ""}` : words[q.state];
    item.append(text, note);
    if (q.state === "refused" || q.state === "waiting") {
      const again = document.createElement("button");
      again.type = "button";
      again.textContent = "Try again";
      again.addEventListener("click", () => queue.retry(q.id));
      item.append(again);
    }
    talk.append(item);
  }
}
const queue = new Queue(`talk:${hire}:${person}`, drawQueue);

/** Fetches what came after the last message that is shown. */
let fetching = false;
let again = false;
async function catchUp(): Promise<void> {
  if (fetching) {
    again = true;
    return;
  }
  fetching = true;
  try {
    const answer = await fetch(`/chat/messages?since=${last}`, {
      headers: { Accept: "application/json" },
    });
    if (answer.status === 401) {
      state.textContent = "Please open the link in your booking message again.";
      return;
    }
    if (!answer.ok) return;
    const fresh: { n: number; key: string; mine: boolean; html: string }[] = await answer.json();
    const stay = nearEnd();
    let first: Element | null = null;
    for (const message of fresh) {
      if (message.n <= last) continue;
      last = message.n;
      const own = message.key.split(":").at(-1) ?? "";
      queue.confirm(own);
      talk.querySelector("li.intro")?.remove();
      talk.insertAdjacentHTML("beforeend", message.html);
      if (!message.mine) first ??= talk.lastElementChild;
    }
    drawQueue();
    // A long answer is read from its beginning: "stop somewhere safe" stands in the first line.
    if (first && stay) first.scrollIntoView({ block: "start" });
    else if (fresh.length > 0 && stay) toEnd();
    if (navigator.onLine) state.textContent = "";
  } catch {
    state.textContent = navigator.onLine
      ? ""
      : "No connection. What you write waits here and is sent later.";
  } finally {
    fetching = false;
    if (again) {
      again = false;
      void catchUp();
    }
  }
}

function listen(): void {
  const stream = new EventSource("/chat/stream");
  stream.addEventListener("message", () => {
    state.textContent = "";
    void catchUp();
    void queue.flush();
  });
  stream.addEventListener("error", () => {
    state.textContent = navigator.onLine
      ? "Connecting …"
      : "No connection. What you write waits here and is sent later. In danger, ring.";
    // Some proxies answer an error for good; the browser then gives up, so we do not.
    if (stream.readyState === EventSource.CLOSED) setTimeout(listen, 5000);
  });
}

function send(): void {
  const text = box.value.trim();
  if (text === "") return;
  box.value = "";
  box.style.height = "";
  queue.add("say", { text }, text);
  toEnd();
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  send();
  box.focus();
});
box.addEventListener("keydown", (event) => {
  // On a keyboard Enter sends; on a phone it makes a line.
  if (
    event.key === "Enter" &&
    !event.shiftKey &&
    !event.isComposing &&
    matchMedia("(hover: hover)").matches
  ) {
    event.preventDefault();
    send();
  }
});
box.addEventListener("input", () => {
  box.style.height = "auto";
  box.style.height = `${Math.min(box.scrollHeight, 160)}px`;
});
talk.addEventListener("submit", (event) => {
  const taps = (event.target as Element).closest<HTMLFormElement>("form.taps");
  const button = (event as SubmitEvent).submitter as HTMLButtonElement | null;
  if (!taps || !button) return;
  event.preventDefault();
  for (const b of taps.querySelectorAll("button")) b.disabled = true;
  button.classList.add("chosen");
  queue.add("tap", { tap: button.value }, button.textContent ?? "");
  toEnd();
});

find<HTMLElement>(".more").hidden = false;
find<HTMLButtonElement>("#place").addEventListener("click", () => {
  state.textContent = "Finding your place …";
  navigator.geolocation.getCurrentPosition(
    ({ coords }) => {
      state.textContent = "";
      const { latitude: lat, longitude: lon } = coords;
      queue.add("place", { lat, lon }, `My place: ${lat.toFixed(5)}, ${lon.toFixed(5)}`);
    },
    () => {
      state.textContent =
        "Your phone did not tell the place. Write the road, the direction and the nearest marker post or village.";
    },
    { enableHighAccuracy: true, timeout: 20_000, maximumAge: 60_000 },
  );
});
const photo = find<HTMLInputElement>("#photo");
photo.addEventListener("change", async () => {
  const file = photo.files?.[0];
  photo.value = "";
  if (!file) return;
  if (file.size > 8 * 1024 * 1024) {
    state.textContent = "That photo is over 8 MB. Please send a smaller one.";
    return;
  }
  state.textContent = "Sending the photo …";
  const id = `photo-${Date.now().toString(36)}`;
  try {
    const answer = await fetch(`/chat/photo?id=${id}`, {
      method: "POST",
      headers: { Accept: "application/json" },
      body: file,
    });
    const said: { error?: string } = await answer.json().catch(() => ({}));
    state.textContent = answer.ok ? "" : (said.error ?? "The photo was not sent.");
  } catch {
    state.textContent = "The photo was not sent: no connection. Please try again.";
  }
});

window.addEventListener("online", () => {
  void queue.flush();
  void catchUp();
});
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState !== "visible") return;
  void queue.flush();
  void catchUp();
});
drawQueue();
toEnd();
listen();
void queue.flush();
void catchUp();
