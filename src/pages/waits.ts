/** The cards of what waits, kept fresh without reload: a part that somebody is writing in stays as it is. */
import { notify, ring } from "./sound.js";

const keyOf = (card: HTMLElement) => card.dataset["key"] ?? "";
const cardsIn = (box: Element) => [...box.querySelectorAll<HTMLElement>(":scope > [data-key]")];

/** Whether somebody has written or chosen something in a part, or is in one of its fields. */
export function inUse(part: Element): boolean {
  const at = document.activeElement;
  if (at && part.contains(at) && at.matches("input, textarea, select")) return true;
  const fields = [
    ...part.querySelectorAll<HTMLInputElement | HTMLTextAreaElement>("input, textarea"),
  ];
  const written = fields.some((f) => f.type !== "hidden" && f.value !== f.defaultValue);
  const chosen = [...part.querySelectorAll("select")].some(
    (s) => s.selectedIndex > 0 && !s.options[s.selectedIndex]?.defaultSelected,
  );
  return written || chosen;
}

/** Sounds where an alert has rung for who looks since the last look; what rings a phone is heard on every page. */
export function soundRung(fresh: Element): void {
  const old = document.querySelector<HTMLDataElement>("#rung");
  const mark = fresh.querySelector<HTMLDataElement>("#rung");
  if (!old || !mark) return;
  old.replaceWith(mark);
  if (Number(mark.value) <= Number(old.value)) return;
  ring(mark.dataset["loud"] === "yes");
  const cards = [...document.querySelectorAll<HTMLElement>("#waits [data-key]")];
  const card = cards.find((c) => keyOf(c) === mark.dataset["of"]);
  notify(`An alert for you: ${card ? titleOf(card) : "open the desk"}`, `rung-${mark.value}`);
}

/** Puts fresh parts of a page in place of those with the same id, but for one that somebody is writing in. */
export function freshen(fresh: Element): void {
  for (const part of fresh.querySelectorAll<HTMLElement>("[data-fresh]")) {
    const old = document.getElementById(part.id);
    if (!old || inUse(old) || sameWords(old, part)) continue;
    // Another danger or stop is heard on whichever page is open.
    if (Number(part.dataset["urgent"] ?? 0) > Number(old.dataset["urgent"] ?? 0)) ring(true);
    replace(old, part);
    if (part.id === "told" && toldIn(part) > toldIn(old)) say(part.querySelector("p"));
  }
}

/** The number of the last that was told to who looks, of a part that tells it; higher with each. */
export const toldIn = (part: HTMLElement | null): number => Number(part?.dataset["told"] ?? 0);

/** To who cannot see the page. */
function say(words: Element | string | null): void {
  const news = document.querySelector("#news");
  const text = typeof words === "string" ? words : words?.textContent;
  if (news && text) news.textContent = text;
}

/** Puts a fresh part in place of the old one; what was unfolded stays so, and the focus returns to its like. */
function replace(old: HTMLElement, fresh: HTMLElement): void {
  for (const details of old.querySelectorAll<HTMLDetailsElement>("details[open]")) {
    const same = fresh.querySelector<HTMLDetailsElement>(
      `details[data-open="${details.dataset["open"] ?? ""}"]`,
    );
    if (same) same.open = true;
  }
  const at = document.activeElement;
  const focused = at && old.contains(at) ? at : undefined;
  const kinds = "h2, a, button, summary";
  const like = [...old.querySelectorAll(kinds)].indexOf(focused ?? old);
  old.replaceWith(fresh);
  if (like < 0) return;
  const same = fresh.querySelectorAll<HTMLElement>(kinds)[like];
  if (same?.tagName === "H2") same.tabIndex = -1;
  same?.focus();
}

/** Changes a card that stands already, part by part. */
function update(had: HTMLElement, card: HTMLElement): void {
  had.className = card.className;
  for (const name of ["severity", "hurry", "news", "told"])
    had.dataset[name] = card.dataset[name] ?? "";
  for (const fresh of [...card.querySelectorAll<HTMLElement>(":scope > [data-part]")]) {
    const old = had.querySelector<HTMLElement>(
      `:scope > [data-part="${fresh.dataset["part"] ?? ""}"]`,
    );
    if (!old || inUse(old) || sameWords(old, fresh)) continue;
    replace(old, fresh);
    if (fresh.dataset["part"] === "told") say(fresh);
  }
}

/** A card that is done while somebody writes in it: it takes no act any more but a message to the hirers. */
function close(card: HTMLElement): void {
  if (card.classList.contains("gone")) return;
  card.classList.add("gone");
  const says = document.createElement("p");
  says.className = "nobody";
  says.textContent = "This is done meanwhile. A message to them can still be sent.";
  card.querySelector('[data-part="head"]')?.append(says);
  for (const form of card.querySelectorAll("form"))
    if (!form.querySelector('[name="do"][value="reply"]'))
      for (const button of form.querySelectorAll("button")) button.disabled = true;
  say(`${titleOf(card)} ${says.textContent}`);
}

/** The same but for the ids of its forms: nothing to change under somebody's finger. */
function sameWords(a: Element, b: Element): boolean {
  const plain = (part: Element) => {
    const copy = part.cloneNode(true) as Element;
    for (const id of copy.querySelectorAll('input[name="id"]')) id.remove();
    for (const time of copy.querySelectorAll("time")) {
      time.removeAttribute("data-left");
      time.removeAttribute("class");
    }
    for (const details of copy.querySelectorAll("details")) details.removeAttribute("open");
    for (const heading of copy.querySelectorAll("h2")) heading.removeAttribute("tabindex");
    return copy.innerHTML;
  };
  return plain(a) === plain(b);
}

const urgent = (card: HTMLElement) => /^(danger|stop)$/.test(card.dataset["severity"] ?? "");

/** "■ must not move Red oil light SX26 ABC". */
const titleOf = (card: HTMLElement): string =>
  `${card.querySelector("h2")?.textContent?.trim() ?? "Somebody waits"} ${card.querySelector(".plate")?.textContent ?? ""}`;

/** Tells that there is something new: to the ear, to who looks elsewhere, and to who cannot see the page. */
function announce(card: HTMLElement, what: string, loud: boolean): void {
  ring(loud);
  const words = `${what}${titleOf(card)}`;
  notify(words, keyOf(card));
  say(words);
}

/** Merges a fresh page of what waits into the one that is open. */
export function merge(page: Element): void {
  const box = document.querySelector("#waits");
  const next = page.querySelector("#waits");
  if (!box || !next) return;
  const old = new Map(cardsIn(box).map((card) => [keyOf(card), card]));
  const ordered: HTMLElement[] = [];
  const news: { card: HTMLElement; what: string; loud: boolean }[] = [];
  for (const card of cardsIn(next)) {
    const had = old.get(keyOf(card));
    if (!had) {
      ordered.push(card);
      if (keyOf(card) !== "quiet") news.push({ card, what: "", loud: urgent(card) });
      continue;
    }
    const worse = had.dataset["hurry"] !== card.dataset["hurry"];
    const wrote = had.dataset["news"] !== card.dataset["news"];
    const told = toldIn(card) > toldIn(had);
    update(had, card);
    ordered.push(had);
    if (worse) news.push({ card: had, what: "Changed: ", loud: urgent(had) });
    else if (wrote) news.push({ card: had, what: "They wrote: ", loud: false });
    else if (told) news.push({ card: had, what: "For you: ", loud: false });
  }
  // What is done while somebody writes in it stays until they leave it.
  for (const [key, card] of old)
    if (!ordered.some((c) => keyOf(c) === key) && key !== "quiet" && inUse(card)) {
      close(card);
      ordered.push(card);
    }
  if (ordered.some((card, i) => box.children[i] !== card) || box.children.length !== ordered.length)
    arrange(box, ordered);
  // One thing is told at a time: what is loud first, then the worst, which stands first.
  const told = news.find((n) => n.loud) ?? news.find((n) => n.what === "") ?? news[0];
  if (told) announce(told.card, told.what, told.loud);
  document.title = title(ordered.filter((c) => keyOf(c) !== "quiet").length);
}

const title = (n: number) => (n > 0 ? `(${n}) What waits` : "What waits");

/** Brings the cards into order without taking out the one in which the focus is. */
function arrange(box: Element, ordered: readonly HTMLElement[]): void {
  for (const child of [...box.children])
    if (!ordered.includes(child as HTMLElement)) child.remove();
  for (const [i, card] of ordered.entries()) {
    const there = box.children[i];
    if (there !== card) box.insertBefore(card, there ?? null);
  }
}
