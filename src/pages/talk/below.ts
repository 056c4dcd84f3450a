/** What has come below the part of the talk that is on the screen: its newest line stands over the box, one tap away. */

/** So many letters stand in two lines on a narrow phone. */
const most = 64;

export class Below {
  readonly #button: HTMLButtonElement;
  #first: Element | undefined;

  /** The button is of the form that covers the end of the talk. */
  constructor(button: HTMLButtonElement) {
    this.#button = button;
    button.addEventListener("click", () => {
      this.#first?.scrollIntoView({ block: "start" });
      this.#look();
    });
    window.addEventListener("scroll", () => this.#look(), { passive: true });
  }

  /** Messages that were just added, in order; whatever is not on the screen is told of. */
  came(messages: readonly Element[]): void {
    const unseen = messages.filter((m) => this.#isBelow(m));
    this.#first ??= unseen[0];
    const line = unseen.at(-1)?.querySelector("p:not(.severity)")?.textContent?.trim();
    if (line === undefined) return;
    this.#button.textContent = `Below: ${line.length > most ? `${line.slice(0, most)} …` : line}`;
    this.#button.hidden = false;
  }

  #isBelow(message: Element): boolean {
    const edge = this.#button.form?.getBoundingClientRect().top ?? window.innerHeight;
    return message.getBoundingClientRect().top > edge - 24;
  }

  #look(): void {
    if (!this.#first || this.#isBelow(this.#first)) return;
    this.#first = undefined;
    this.#button.hidden = true;
  }
}
