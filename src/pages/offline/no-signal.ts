/** What the talk shows while there is no signal: that nobody has been told, whom to ring, and what the guide offers. */
/** A connection that is only cut for a moment is no news. */
const momentMs = 4_000;

export class NoSignal {
  readonly #panel: HTMLElement;
  readonly #offers: HTMLElement;
  readonly #change: (grow: () => void) => void;
  #timer: ReturnType<typeof setTimeout> | undefined;
  /** The hirer's latest words that have not gone out. */
  #words = "";

  /** `change`: called with what makes the panel larger. */
  constructor(panel: HTMLElement, change: (grow: () => void) => void) {
    this.#panel = panel;
    this.#offers = panel.querySelector<HTMLElement>(".found") ?? panel;
    this.#change = change;
  }

  get shown(): boolean {
    return !this.#panel.hidden;
  }

  /** The connection is gone. `atOnce`: the phone itself says so. */
  begin(atOnce: boolean): void {
    if (this.shown) return;
    if (atOnce) return this.#show();
    this.#timer ??= setTimeout(() => this.#show(), momentMs);
  }

  end(): void {
    clearTimeout(this.#timer);
    this.#timer = undefined;
    this.#words = "";
    this.#offers.replaceChildren();
    this.#panel.hidden = true;
  }

  /** Offers entries for what the hirer wrote, in case it cannot be sent. */
  wrote(text: string): void {
    this.#words = text;
    if (this.shown) void this.#offer();
  }

  #show(): void {
    this.#change(() => {
      this.#panel.hidden = false;
    });
    void this.#offer();
  }

  async #offer(): Promise<void> {
    const text = this.#words;
    if (text === "") return;
    const search = await import("./find.js").catch(() => undefined);
    const offers = (await search?.offersFor(text, 3)) ?? [];
    if (!this.shown || text !== this.#words) return;
    const note = document.createElement("p");
    note.textContent = "From the guide on this phone. Is it one of these?";
    const found = search && offers.length > 0 ? [note, search.offerList(offers)] : [];
    this.#change(() => this.#offers.replaceChildren(...found));
  }
}
