/** The desk in the browser: cards come and change without reload; what somebody is typing in stays. */
const live = document.body.dataset["live"] === "1";
const soundButton = document.querySelector<HTMLButtonElement>("#sound");
let audio: AudioContext | undefined;

/** Two short tones for what is new; three and higher when it is about life or a van that must not move. */
function ring(urgent: boolean): void {
  if (!audio) return;
  const start = audio.currentTime;
  for (let i = 0; i < (urgent ? 3 : 2); i++) {
    const tone = audio.createOscillator();
    const volume = audio.createGain();
    tone.frequency.value = urgent ? 880 : 587;
    volume.gain.setValueAtTime(0.25, start + i * 0.35);
    volume.gain.linearRampToValueAtTime(0, start + i * 0.35 + 0.25);
    tone.connect(volume).connect(audio.destination);
    tone.start(start + i * 0.35);
    tone.stop(start + i * 0.35 + 0.26);
  }
}
soundButton?.addEventListener("click", () => {
  audio ??= new AudioContext();
  soundButton.textContent = "Sound is on";
  if ("Notification" in window && Notification.permission === "default")
    void Notification.requestPermission();
  ring(false);
});

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

function merge(fresh: Element): void {
  const box = document.querySelector("#waits");
  const next = fresh.querySelector("#waits");
  if (!box || !next) return;
  const busy = document.activeElement?.closest<HTMLElement>("#waits [data-key]")?.dataset["key"];
  const typed = new Set(
    [...box.querySelectorAll<HTMLElement>("[data-key]")]
      .filter((card) =>
        [...card.querySelectorAll<HTMLInputElement>("input:not([type=hidden]), textarea")].some(
          (f) => f.value !== "",
        ),
      )
      .map((card) => card.dataset["key"]),
  );
  const old = new Map(
    [...box.querySelectorAll<HTMLElement>(":scope > [data-key]")].map((card) => [
      card.dataset["key"] ?? "",
      card,
    ]),
  );
  const ordered: Element[] = [];
  for (const card of [...next.querySelectorAll<HTMLElement>(":scope > [data-key]")]) {
    const key = card.dataset["key"] ?? "";
    const had = old.get(key);
    const keep = had && (key === busy || typed.has(key));
    if (keep) {
      // Only the facts change under a person's hands; the form they are writing in stays.
      for (const part of ["header", ".places", ".next", ".tried", ".said"]) {
        const from = card.querySelector(part);
        const to = had.querySelector(part);
        if (from && to) to.replaceWith(from);
      }
      had.className = card.className;
    }
    ordered.push(keep ? had : card);
    if (!had && key !== "quiet") {
      const urgent = card.dataset["severity"] === "danger" || card.dataset["severity"] === "stop";
      ring(urgent);
      if (
        "Notification" in window &&
        Notification.permission === "granted" &&
        document.visibilityState === "hidden"
      )
        new Notification(card.querySelector("h2")?.textContent?.trim() ?? "Somebody waits", {
          tag: key,
        });
    }
  }
  for (const [key, card] of old) if (!ordered.includes(card) && key === busy) ordered.push(card);
  box.replaceChildren(...ordered);
  const duty = document.querySelector("#duty");
  const freshDuty = fresh.querySelector("#duty");
  // Only when it says something else: a button under somebody's finger stays.
  if (duty && freshDuty && duty.textContent !== freshDuty.textContent) {
    const known = duty.querySelectorAll("[data-alarm]").length;
    duty.replaceWith(freshDuty);
    if (freshDuty.querySelectorAll("[data-alarm]").length > known) ring(true);
  }
  const others = fresh.querySelector("#others");
  if (others) document.querySelector("#others")?.replaceWith(others);
  const lost = fresh.querySelector(".undelivered");
  document.querySelector(".undelivered")?.remove();
  if (lost) box.after(lost);
  count();
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
    const answer = await fetch("/desk/part", { headers: { Accept: "text/html" } });
    if (answer.ok) {
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      merge(page.body);
    }
  } catch {
    document.body.classList.add("cut");
  } finally {
    running = false;
    if (again) {
      again = false;
      setTimeout(() => void refresh(), 300);
    }
  }
}

if (live) {
  const listen = () => {
    const stream = new EventSource("/desk/stream");
    stream.addEventListener("message", () => {
      document.body.classList.remove("cut");
      void refresh();
    });
    stream.addEventListener("error", () => {
      document.body.classList.add("cut");
      if (stream.readyState === EventSource.CLOSED) setTimeout(listen, 5000);
    });
  };
  listen();
  // Behind the stream: whatever happens, the page is never older than a minute.
  setInterval(() => void refresh(), 60_000);
}
count();
setInterval(count, 1000);
