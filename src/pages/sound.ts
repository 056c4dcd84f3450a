/** Sound and notifications of the desk: only once somebody has switched them on, and they are told whether it worked. */
const remembered = { sound: "desk-sound", notify: "desk-notify" } as const;
const button = document.querySelector<HTMLButtonElement>("#sound");
let audio: AudioContext | undefined;

const isKept = (name: string, as: "on" | "off"): boolean => {
  try {
    return localStorage.getItem(name) === as;
  } catch {
    return false;
  }
};
const keep = (name: string, on: boolean): void => {
  try {
    localStorage.setItem(name, on ? "on" : "off");
  } catch {
    // A browser that keeps nothing asks again on the next page.
  }
};
const wanted = (): boolean => isKept(remembered.sound, "on");
const mayNotify = () => "Notification" in window && Notification.permission === "granted";

function show(): void {
  if (!button) return;
  const on = audio?.state === "running";
  const notifies = mayNotify() && !isKept(remembered.notify, "off");
  button.setAttribute("aria-pressed", `${on}`);
  // A browser lets a page sound only after it was touched, and takes the sound away for a telephone call.
  button.textContent = on
    ? `Sound is on${notifies ? ", notifications too" : ""}`
    : wanted()
      ? "Sound is off: tap once"
      : "Switch on sound";
}

async function switchOn(): Promise<void> {
  if (!audio) {
    audio = new AudioContext();
    audio.addEventListener("statechange", show);
  }
  await audio.resume();
  show();
}

/** What sounds now; one look may bring several things that sound. */
let sounding = { urgent: false, until: 0 };

/**
 * Two short tones for what is new; three and higher when it is about life or a van that must not move. While tones
 * sound already only more urgent ones are added.
 */
export function ring(urgent: boolean): void {
  if (audio?.state !== "running") return;
  const start = audio.currentTime;
  if (start < sounding.until && (sounding.urgent || !urgent)) return;
  const tones = urgent ? 3 : 2;
  sounding = { urgent, until: start + tones * 0.35 };
  for (let i = 0; i < tones; i++) {
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

/** Makes a notification where it may; a browser that lets no page do so, as on Android, is remembered. */
function notifyNow(title: string, tag: string): void {
  if (!mayNotify()) return;
  let could = true;
  try {
    new Notification(title, { tag });
  } catch {
    could = false;
  }
  keep(remembered.notify, could);
  show();
}

/** A notification, where they are allowed and nobody is looking at the page. */
export function notify(title: string, tag: string): void {
  if (document.visibilityState === "hidden") notifyNow(title, tag);
}

button?.addEventListener("click", async () => {
  if (audio?.state === "running") {
    keep(remembered.sound, false);
    await audio.suspend();
    return show();
  }
  keep(remembered.sound, true);
  await switchOn();
  ring(false);
  if ("Notification" in window && Notification.permission === "default")
    await Notification.requestPermission();
  // Seen now, as the tones are heard.
  notifyNow("Notifications of the desk are on", "line");
  show();
});
// Whoever switched it on before has it again with the first touch of a page, and after what took it away.
document.addEventListener("pointerdown", (event) => {
  if (!wanted() || audio?.state === "running") return;
  if (!(event.target instanceof Element && event.target.closest("#sound"))) void switchOn();
});
show();
