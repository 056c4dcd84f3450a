/** A record at the van in the browser: every field is kept on the phone at once and at the desk when there is signal. */
import { Kept } from "./kept.js";
import { fitToSend } from "./photo.js";
import { fetchWithin, photoMs } from "./within.js";

const form = document.querySelector<HTMLFormElement>("#record");
if (form) open(form);

type Notes = {
  /** Fields that the desk does not have yet. */
  fields: Record<string, string>;
  /** The record was to be kept and could not be: done as soon as there is signal. */
  keep?: Wish;
};
/** Who wants to keep a record, and on what their page was drawn: when it was kept last, "" where it never was. */
type Wish = { by: string; name: string; base: string };

function open(form: HTMLFormElement): void {
  const path = form.getAttribute("action") ?? "";
  const van = form.querySelector<HTMLInputElement>('[name="van"]')?.value ?? "";
  // By the van too: what was written of one says nothing of the next.
  const place = `record:${path}:${van}`;
  const status = document.querySelector<HTMLElement>("#kept");
  const base = form.querySelector<HTMLInputElement>('[name="base"]')?.value ?? "";
  const mine: Wish = { by: form.dataset["by"] ?? "", name: form.dataset["name"] ?? "", base };
  // Asked each time: whoever signs in again on another page goes on here, with a fresh one.
  const csrf = () => form.querySelector<HTMLInputElement>('[name="csrf"]')?.value ?? "";
  const photos = new Kept(`photos:${path}:${van}`);
  const retryMs = 10_000;
  const notes = read();
  /** Notes that storage did not take: they are lost when this page is closed. */
  let loose = false;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let busy = false;

  function read(): Notes {
    try {
      const kept = JSON.parse(localStorage.getItem(place) ?? "null") as Notes | null;
      return kept?.fields ? kept : { fields: {} };
    } catch {
      return { fields: {} };
    }
  }
  function write(): void {
    try {
      localStorage.setItem(place, JSON.stringify(notes));
      loose = false;
    } catch {
      loose = true;
      say("This phone keeps nothing for pages: do not close this one before it is kept.");
    }
  }
  const say = (text: string) => {
    if (status) status.textContent = text;
  };
  /** A wish of somebody else, or of before the record was kept otherwise, is told and not done. */
  function heedWish(): void {
    const { keep } = notes;
    if (!keep || (keep.by === mine.by && keep.base === base)) return;
    delete notes.keep;
    write();
    const p = document.createElement("p");
    p.className = "wrong";
    p.setAttribute("role", "alert");
    p.textContent =
      keep.by === mine.by
        ? "You wanted to keep this record on this phone. It was kept meanwhile, from here or at the desk: look whether anything is missing, and keep it again only if so."
        : `${keep.name || "Somebody"} wanted to keep this record on this phone. Look at what stands here, then keep it.`;
    form.prepend(p);
  }
  const clock = () => new Date().toTimeString().slice(0, 5);

  /** What one control says; "" for a tick that is not set. A choice that is not taken says nothing. */
  function saidBy(field: Element): [string, string] | undefined {
    if (field instanceof HTMLInputElement) {
      if (field.name === "" || ["hidden", "file"].includes(field.type)) return undefined;
      if (field.type === "radio") return field.checked ? [field.name, field.value] : undefined;
      if (field.type === "checkbox") return [field.name, field.checked ? field.value : ""];
      return [field.name, field.value];
    }
    if (field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement)
      return field.name === "" ? undefined : [field.name, field.value];
    return undefined;
  }
  /** Puts a value that the phone kept into its control. */
  function putBack(name: string, value: string): void {
    for (const field of form.querySelectorAll<HTMLElement>(`[name="${CSS.escape(name)}"]`))
      if (field instanceof HTMLInputElement && ["radio", "checkbox"].includes(field.type))
        field.checked = value !== "" && field.value === value;
      else if (
        field instanceof HTMLInputElement ||
        field instanceof HTMLTextAreaElement ||
        field instanceof HTMLSelectElement
      )
        field.value = value;
  }
  /** Whether a control no longer says what the desk drew. */
  const isTouched = (field: Element): boolean =>
    field instanceof HTMLSelectElement
      ? [...field.options].some((o) => o.selected !== o.defaultSelected && o.value !== "")
      : field instanceof HTMLInputElement && ["radio", "checkbox"].includes(field.type)
        ? field.checked !== field.defaultChecked
        : (field as HTMLInputElement).value !== (field as HTMLInputElement).defaultValue;
  // What was typed on a slow phone before this script came.
  const early = [...form.elements].flatMap((field) => {
    const pair = saidBy(field);
    return pair && isTouched(field) ? [pair] : [];
  });
  for (const [name, value] of Object.entries(notes.fields)) putBack(name, value);
  for (const [name, value] of early) {
    putBack(name, value);
    notes.fields[name] = value;
  }
  if (early.length > 0) write();

  const post = (to: string, init: RequestInit) =>
    fetchWithin(photoMs, `${path}${to}`, {
      method: "POST",
      ...init,
      headers: {
        Accept: "application/json",
        "x-csrf": csrf(),
        "x-van": encodeURIComponent(van),
        ...init.headers,
      },
    });

  /** Sends what the desk lacks, photos last. True when it has all of it. */
  async function sendAll(): Promise<boolean> {
    const sending = { ...notes.fields };
    if (Object.keys(sending).length > 0) {
      const answer = await post("/draft", {
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ csrf: csrf(), fields: sending }),
      });
      if (!answer.ok) return refused(answer.status);
      for (const [name, value] of Object.entries(sending))
        if (notes.fields[name] === value) delete notes.fields[name];
      write();
    }
    for (const item of photos.all()) if (!(await sendPhoto(item.id))) return false;
    say(`Kept at the desk at ${clock()}.`);
    return Object.keys(notes.fields).length === 0;
  }
  function refused(status: number): false {
    say(
      status === 401 || status === 403
        ? "You are signed out. Leave this page open and sign in on another one: what stands here is sent then."
        : status === 412
          ? `Kept on this phone: it is of ${van}, and the hire has another van now. Open this page again to write of that one.`
          : `Kept on this phone; the desk could not take it (${status}). It is tried again.`,
    );
    return false;
  }

  async function sendPhoto(id: string): Promise<boolean> {
    const item = photos.all().find((p) => p.id === id);
    const blob = await photos.photo(id);
    const side = String(item?.body["side"]);
    if (!item || !blob) {
      photos.drop(id);
      if (item) tellSide(side, "A photo is no longer on this phone. Please take it again.");
      return true;
    }
    const answer = await post(`/photo?id=${id}&side=${encodeURIComponent(side)}`, {
      headers: { "Content-Type": "application/octet-stream" },
      body: blob,
    });
    if (answer.ok) {
      photos.drop(id);
      await drawSides();
      return true;
    }
    if (answer.status < 500 && ![401, 403, 408, 412, 425, 429].includes(answer.status)) {
      const said = (await answer.json().catch(() => ({}))) as { error?: string };
      photos.drop(id);
      tellSide(side, said.error ?? "This photo was refused.");
      return true;
    }
    return refused(answer.status);
  }

  async function round(): Promise<void> {
    clearTimeout(timer);
    if (busy) {
      timer = setTimeout(() => void round(), 500);
      return;
    }
    busy = true;
    let done = false;
    try {
      done = await sendAll();
      if (done && notes.keep) await keep();
    } catch {
      say(
        loose || photos.forgetful
          ? "No signal, and this phone keeps nothing for pages: do not close this one before it is sent."
          : notes.keep
            ? "No signal. All is kept on this phone, and the record is kept as soon as there is signal."
            : "No signal. All is kept on this phone and sent as soon as there is signal.",
      );
    } finally {
      busy = false;
      if (!done || notes.keep) timer = setTimeout(() => void round(), retryMs);
    }
  }

  /** Keeps the record; where the desk has a question, the page is drawn again with it. */
  async function keep(): Promise<void> {
    const body = new URLSearchParams();
    for (const [name, value] of new FormData(form))
      if (typeof value === "string") body.append(name, value);
    // What is in the draft counts: it has all of this page, and of every other phone.
    body.append("drafted", "yes");
    const answer = await fetchWithin(60_000, path, { method: "POST", redirect: "manual", body });
    const kept = answer.type === "opaqueredirect";
    if (!kept && answer.status !== 400 && answer.status !== 409) {
      if (answer.status === 412) {
        // A wish to keep a record of this van does not outlive the van.
        delete notes.keep;
        write();
      }
      refused(answer.status);
      return;
    }
    delete notes.keep;
    if (kept) localStorage.removeItem(place);
    else write();
    location.assign(kept ? path.replace(/\/\w+$/, "") : `${path}?look=1&base=${base}`);
  }

  form.addEventListener("input", (event) => {
    const pair = event.target instanceof Element ? saidBy(event.target) : undefined;
    if (!pair) return;
    notes.fields[pair[0]] = pair[1];
    write();
    clearTimeout(timer);
    timer = setTimeout(() => void round(), 800);
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    notes.keep = mine;
    write();
    say("Keeping the record …");
    void round();
  });
  addEventListener("online", () => void round());

  // Photos: a picture at once, the file itself when there is signal.
  const sideOf = (side: string) =>
    form.querySelector<HTMLElement>(`[data-side="${CSS.escape(side)}"]`);
  function tellSide(side: string, text: string): void {
    const li = sideOf(side);
    li?.querySelector(".wrong")?.remove();
    const p = document.createElement("p");
    p.className = "wrong";
    p.setAttribute("role", "alert");
    p.textContent = text;
    li?.append(p);
  }
  /** What waits on this phone, as small pictures with a word. */
  async function drawWaiting(): Promise<void> {
    for (const old of form.querySelectorAll(".waits")) old.remove();
    for (const item of photos.all()) {
      const side = sideOf(String(item.body["side"]));
      const blob = await photos.photo(item.id);
      if (!side || !blob) continue;
      const li = document.createElement("li");
      li.className = "shot waits";
      const img = document.createElement("img");
      img.src = URL.createObjectURL(blob);
      img.alt = "Photo that waits for signal";
      img.width = 96;
      img.height = 96;
      const p = document.createElement("p");
      p.className = "hint";
      p.textContent = "On this phone, not yet sent";
      li.append(img, p);
      side.querySelector(".shots")?.append(li);
    }
  }
  /** The sides as the desk has them, without touching what is being typed. */
  async function drawSides(): Promise<void> {
    const answer = await fetch(path, { headers: { Accept: "text/html" } });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const fresh of page.querySelectorAll<HTMLElement>("li[data-side]")) {
      const here = sideOf(fresh.dataset["side"] ?? "");
      if (!here) continue;
      here.querySelector(".count")?.replaceWith(fresh.querySelector(".count") ?? "");
      for (const shot of fresh.querySelectorAll<HTMLElement>("[data-photo]"))
        if (!here.querySelector(`[data-photo="${CSS.escape(shot.dataset["photo"] ?? "")}"]`))
          here.querySelector(".shots")?.append(shot);
    }
    await drawWaiting();
  }
  form.addEventListener("change", (event) => {
    const input = event.target;
    if (!(input instanceof HTMLInputElement) || input.type !== "file") return;
    const side = input.closest<HTMLElement>("[data-side]")?.dataset["side"] ?? "";
    const files = [...(input.files ?? [])];
    input.value = "";
    void files.reduce(
      (before, file) => before.then(() => takePhoto(side, file)),
      Promise.resolve(),
    );
  });
  async function takePhoto(side: string, file: File): Promise<void> {
    // The original goes up as it is; only one that is too large is made smaller here.
    const fit = file.size > 8 * 1024 * 1024 ? await fitToSend(file) : { photo: file };
    if ("wrong" in fit) return tellSide(side, fit.wrong);
    sideOf(side)?.querySelector(".wrong")?.remove();
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    const id = btoa(String.fromCharCode(...bytes))
      .replaceAll("+", "-")
      .replaceAll("/", "_")
      .replace(/=+$/, "");
    await photos.putPhoto(id, fit.photo);
    photos.put({
      id,
      path: "photo",
      body: { side },
      shown: "",
      writtenAt: Date.now(),
      state: "waiting",
    });
    await drawWaiting();
    await round();
  }
  heedWish();
  void drawWaiting();
  if (notes.keep || Object.keys(notes.fields).length > 0 || photos.all().length > 0) void round();
}
