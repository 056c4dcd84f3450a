/** The desk in the browser: what waits comes and changes without reload, acts are done in place, a cut line and an ended session are said. */
import { notify, ring } from "./sound.js";
import { freshen, inUse, merge as mergeWaits, soundRung, toldIn } from "./waits.js";

const live = document.body.dataset["live"];
/** A reference to paste into whatever sends help; where copying is forbidden it is marked, to be copied by hand. */
document.addEventListener("click", async (event) => {
  const button = (event.target as Element).closest<HTMLButtonElement>("button[data-copy]");
  if (!button) return;
  const label = button.textContent ?? "";
  try {
    await navigator.clipboard.writeText(button.dataset["copy"] ?? "");
    button.textContent = "Copied";
    setTimeout(() => {
      button.textContent = label;
    }, 2000);
  } catch {
    const reference = button.previousElementSibling;
    if (reference) getSelection()?.selectAllChildren(reference);
  }
});

/** Counts down beside every time that matters. */
function count(): void {
  for (const time of document.querySelectorAll<HTMLTimeElement>("time[data-until]")) {
    const left = Math.round((Number(time.dataset["until"]) - Date.now()) / 1000);
    const abs = Math.abs(left);
    const clock =
      abs >= 3600
        ? `${Math.floor(abs / 3600)} h ${Math.floor((abs % 3600) / 60)} min`
        : `${Math.floor(abs / 60)}:${String(abs % 60).padStart(2, "0")}`;
    time.dataset["left"] = left >= 0 ? `in ${clock}` : `${clock} ago`;
    time.classList.toggle("over", left < 0);
  }
}

const marksIn = (part: Element, mark: string) => part.querySelectorAll(`[data-${mark}]`).length;

function merge(fresh: Element): void {
  soundRung(fresh);
  freshen(fresh);
  if (!document.querySelector("#waits")) return count();
  mergeWaits(fresh);
  const duty = document.querySelector("#duty");
  const freshDuty = fresh.querySelector("#duty");
  // Only when it says something else: a button under somebody's finger stays.
  if (duty && freshDuty && duty.textContent !== freshDuty.textContent) {
    duty.replaceWith(freshDuty);
    if (marksIn(freshDuty, "alarm") > marksIn(duty, "alarm")) ring(true);
    else if (marksIn(freshDuty, "offer") > marksIn(duty, "offer")) ring(false);
  }
  for (const id of ["others", "failed", "lost"]) {
    const part = fresh.querySelector(`#${id}`);
    if (part) document.getElementById(id)?.replaceWith(part);
  }
  const tasks = document.querySelector("#tasks");
  const freshTasks = fresh.querySelector("#tasks");
  if (tasks && freshTasks && !inUse(tasks)) tasks.replaceWith(freshTasks);
  count();
}

/** What says "look again"; closed for good once nobody is signed in any more. */
let stream: EventSource | undefined;

/** A cut that lasts this long is heard: nothing else will be. */
const cutMs = 60_000;
let cutHeard: ReturnType<typeof setTimeout> | undefined;

/** A page that tells nothing any more is heard once, and seen by who looks elsewhere. */
function soundLast(why: string): void {
  ring(true);
  notify(why, "line");
}

/** One line at the top of the page: what it shows may be old, or nobody is signed in any more. */
function line(state: "open" | "cut" | "out"): void {
  const bar = document.querySelector<HTMLElement>("#line");
  if (!bar || bar.dataset["state"] === state || (isOut() && state === "cut")) return;
  bar.dataset["state"] = state;
  bar.hidden = state === "open";
  const cut = "No connection to the service. What you see may be old.";
  bar.textContent = state === "cut" ? cut : "";
  clearTimeout(cutHeard);
  if (state === "cut") cutHeard = setTimeout(() => soundLast(cut), cutMs);
  if (state !== "out") return;
  stream?.close();
  bar.textContent = "You are signed out: this page no longer changes. ";
  const link = document.createElement("a");
  link.href = "/desk";
  link.target = "_blank";
  link.textContent = "Sign in";
  bar.append(link, " on a page of its own: what you typed stays here.");
  soundLast("You are signed out.");
}
const isOut = () => document.querySelector<HTMLElement>("#line")?.dataset["state"] === "out";

const parsed = async (answer: Response): Promise<HTMLElement> =>
  new DOMParser().parseFromString(await answer.text(), "text/html").body;

const rungIn = (of: ParentNode) => of.querySelector<HTMLElement>("#rung")?.dataset;

/** Shows a fresh look; on an answer that is none of ours the line is cut. Whoever signed in again goes on here. */
function look(fresh: Element): void {
  const was = rungIn(document);
  const now = rungIn(fresh);
  if (!was || !now) return line("cut");
  // Somebody else has signed in: the page is not theirs.
  if (now["contact"] !== was["contact"]) return line("out");
  for (const field of document.querySelectorAll<HTMLInputElement>('input[name="csrf"]'))
    field.value = now["csrf"] ?? "";
  const wasOut = isOut();
  merge(fresh);
  line("open");
  if (wasOut) listen();
}

let running = false;
let again = false;
async function refresh(): Promise<void> {
  if (running) {
    again = true;
    return;
  }
  running = true;
  try {
    const answer = await fetch(live ?? "/desk/part", { headers: { Accept: "text/html" } });
    if (answer.status === 401) line("out");
    else if (answer.ok) look(await parsed(answer));
    else line("cut");
  } catch {
    line("cut");
  } finally {
    running = false;
    if (again) {
      again = false;
      setTimeout(() => void refresh(), 300);
    }
  }
}

/** Looks again whenever something happens. */
function listen(): void {
  if (isOut() || (stream && stream.readyState !== EventSource.CLOSED)) return;
  const opened = new EventSource("/desk/stream");
  stream = opened;
  opened.addEventListener("message", () => void refresh());
  opened.addEventListener("error", () => {
    line("cut");
    // Whether the line is cut or the session has ended, the next look tells.
    void refresh();
    if (opened.readyState === EventSource.CLOSED) setTimeout(listen, 5000);
  });
}

/** What is wrong with a form, beside its button. */
function refuse(form: HTMLFormElement, why: string): void {
  const known = form.querySelector(".wrong");
  const says = known ?? document.createElement("p");
  says.className = "wrong";
  says.setAttribute("role", "alert");
  says.textContent = why;
  if (!known) form.append(says);
}

/** An id as the service makes them for forms. */
const freshId = (): string =>
  crypto.getRandomValues(new Uint32Array(4)).reduce((s, n) => s + n.toString(36), "f");

/** Does an act without leaving the page. Sent again after a cut line it acts once: the form's id stays. */
async function act(form: HTMLFormElement): Promise<void> {
  const button = form.querySelector("button");
  if (button?.disabled) return;
  if (button) button.disabled = true;
  if (isOut()) await refresh();
  const told = () => toldIn(document.querySelector<HTMLElement>("#told"));
  const toldBefore = told();
  // Asked now: a fresh part may take the form's place before the answer comes.
  const key = form.closest<HTMLElement>("[data-key]")?.dataset["key"];
  try {
    const fields = new URLSearchParams();
    for (const [name, value] of new FormData(form))
      if (typeof value === "string") fields.append(name, value);
    const answer = await fetch(form.action, {
      method: "POST",
      body: fields,
      headers: { Accept: "text/html" },
    });
    if (answer.status === 401) {
      line("out");
      return refuse(form, "Not done: you are signed out. Sign in, then try again.");
    }
    const page = await parsed(answer);
    if (!answer.ok)
      return refuse(form, page.querySelector(".wrong, h1 + p")?.textContent ?? "Not done.");
    form.reset();
    form.querySelector(".wrong")?.remove();
    // What is written here next is another act; and a part that somebody is in would not be made fresh.
    const id = form.querySelector<HTMLInputElement>('input[name="id"]');
    if (id) id.value = freshId();
    const field = form.querySelector<HTMLElement>("input:focus, textarea:focus, select:focus");
    field?.blur();
    if (page.querySelector("#waits, [data-fresh]")) merge(page);
    else await refresh();
    const heading = [...document.querySelectorAll<HTMLElement>("#waits [data-key]")]
      .find((card) => card.dataset["key"] === key)
      ?.querySelector("h2");
    if (!heading) {
      if (told() > toldBefore) document.querySelector("#told")?.scrollIntoView({ block: "center" });
      return;
    }
    heading.tabIndex = -1;
    heading.focus();
  } catch {
    refuse(form, "No connection: not done yet. Try again.");
  } finally {
    if (button) button.disabled = false;
  }
}

/** Finds while somebody types: Ctrl and "/" go there from anywhere, Escape closes what was found. */
function finding(): void {
  const field = document.querySelector<HTMLInputElement>("#find-q");
  const box = document.querySelector<HTMLElement>("#found");
  if (!field || !box) return;
  let asked = 0;
  field.addEventListener("input", async () => {
    const mine = ++asked;
    const query = field.value.trim();
    if (query.length < 2) {
      box.hidden = true;
      return;
    }
    try {
      const answer = await fetch(`/desk/find?part=1&q=${encodeURIComponent(query)}`);
      if (mine !== asked || !answer.ok) return;
      box.replaceChildren(...(await parsed(answer)).childNodes);
      box.hidden = false;
    } catch {
      // Without a connection the button says so.
    }
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && !box.hidden) {
      box.hidden = true;
      field.focus();
    }
    // With Ctrl: who speaks to their computer writes a "/" without meaning this.
    if (event.key !== "/" || !event.ctrlKey) return;
    event.preventDefault();
    field.focus();
  });
}

/** Reads a table file into its field: as UTF-8, or as older table programs write it. */
function takingFiles(): void {
  for (const input of document.querySelectorAll<HTMLInputElement>("input[data-into]"))
    input.addEventListener("change", async () => {
      const field = document.getElementById(input.dataset["into"] ?? "");
      const bytes = await input.files?.[0]?.arrayBuffer();
      if (!(field instanceof HTMLTextAreaElement) || !bytes) return;
      try {
        field.value = new TextDecoder("utf-8", { fatal: true }).decode(bytes);
      } catch {
        field.value = new TextDecoder("windows-1252").decode(bytes);
      }
    });
}

finding();
takingFiles();
if (live) {
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement) || !form.closest("#waits, #duty, [data-fresh]")) return;
    event.preventDefault();
    void act(form);
  });
  listen();
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") void refresh();
  });
  // Behind the stream: whatever happens, the page is never older than half a minute.
  setInterval(() => void refresh(), 30_000);
}
count();
setInterval(count, 1000);
