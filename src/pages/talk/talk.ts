/** Draws the talk: what came from the service, and below it what is still on its way. */
import type { Kept, Queued } from "../kept.js";

/** A message as the service sends it. */
export type Shown = { n: number; key: string; mine: boolean; day: string; html: string };

const words: Record<Queued["state"], string> = {
  waiting: "Waits for signal: nobody has been told yet",
  sending: "Sending …",
  sent: "Sent",
  refused: "Not sent",
};

/** Whether it is neither sent nor being sent. */
const isHeld = ({ state }: Queued) => state === "refused" || state === "waiting";

/** The last part of an arrival's key is the id that this page gave it. */
export const ownId = (key: string): string => key.split(":").at(-1) ?? "";

/** Adds a message at the end of the log, with the day before it where that is a new one. Returns its element. */
export function addMessage(talk: HTMLOListElement, message: Shown): Element | null {
  talk.querySelector("li.intro")?.remove();
  const days = talk.querySelectorAll<HTMLElement>("li[data-day]");
  if (message.day !== days[days.length - 1]?.dataset["day"]) {
    const mark = document.createElement("li");
    mark.className = "day";
    mark.textContent = message.day;
    talk.append(mark);
  }
  talk.insertAdjacentHTML("beforeend", message.html);
  return talk.lastElementChild;
}

function button(label: string, act: () => void): HTMLButtonElement {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = label;
  made.addEventListener("click", act);
  return made;
}

/** The list of what is not yet confirmed; entries are changed in place, so that nothing jumps or is read out twice. */
export class Waiting {
  readonly #list: HTMLOListElement;
  readonly #kept: Kept;
  readonly #act: { retry(id: string): void; forget(id: string): void };
  readonly #drawn = new Map<string, HTMLLIElement>();

  constructor(
    list: HTMLOListElement,
    kept: Kept,
    act: { retry(id: string): void; forget(id: string): void },
  ) {
    this.#list = list;
    this.#kept = kept;
    this.#act = act;
  }

  draw(items: readonly Queued[]): void {
    const ids = new Set(items.map((q) => q.id));
    for (const [id, element] of this.#drawn)
      if (!ids.has(id)) {
        element.remove();
        this.#drawn.delete(id);
      }
    for (const q of items) this.#one(q);
  }

  #one(q: Queued): void {
    const known = this.#drawn.get(q.id);
    const element = known ?? this.#made(q);
    if (!known) {
      this.#drawn.set(q.id, element);
      this.#list.append(element);
    }
    element.className = `mine ${q.state}`;
    const note = element.querySelector(".how");
    const told = q.why && isHeld(q) ? `${words.refused}: ${q.why}` : words[q.state];
    if (note && note.textContent !== told) note.textContent = told;
    const again = element.querySelector<HTMLElement>(".again");
    if (again) again.hidden = !isHeld(q);
    const away = element.querySelector<HTMLElement>(".away");
    if (away) away.hidden = q.state !== "refused";
  }

  #made(q: Queued): HTMLLIElement {
    const item = document.createElement("li");
    const text = document.createElement("p");
    text.className = "own";
    text.textContent = q.shown;
    item.append(text);
    if (q.path === "photo") void this.#preview(item, q.id);
    const note = document.createElement("p");
    note.className = "how";
    const act = document.createElement("p");
    act.className = "taps";
    const again = button("Try again", () => this.#act.retry(q.id));
    again.classList.add("again");
    const away = button("Take it away", () => this.#act.forget(q.id));
    away.classList.add("away");
    act.append(again, away);
    item.append(note, act);
    return item;
  }

  async #preview(item: HTMLLIElement, id: string): Promise<void> {
    const photo = await this.#kept.photo(id);
    if (!photo) return;
    const image = document.createElement("img");
    image.alt = "Your photo";
    image.className = "preview";
    image.src = URL.createObjectURL(photo);
    image.addEventListener("load", () => URL.revokeObjectURL(image.src));
    image.addEventListener("error", () => image.remove());
    item.prepend(image);
  }
}
