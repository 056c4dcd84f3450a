/** The guide in the browser: search, and parts that open where a link leads. All else works without it. */
import { offerList, offersFor, openWords } from "./find.js";
import { keep } from "./keep.js";

const state = document.querySelector("#kept");
const box = document.querySelector<HTMLInputElement>("#words");
const found = document.querySelector("#found");
const typingMs = 250;

/** The part in which a link's target lies is opened; browsers of today do it by themselves. */
function open(): void {
  const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const part = target?.closest("details");
  if (!target || !part || part.open) return;
  part.open = true;
  target.scrollIntoView();
}
window.addEventListener("hashchange", open);
window.addEventListener("beforeprint", () => {
  for (const part of document.querySelectorAll("details")) part.open = true;
});
open();
document.querySelector("#print")?.addEventListener("click", () => print());

let asked = 0;
async function find(text: string): Promise<void> {
  const mine = ++asked;
  const offers = text.trim().length < 2 ? [] : await offersFor(text, 5);
  if (mine !== asked || !found) return;
  const note = document.createElement("p");
  note.textContent =
    offers.length > 0
      ? "It may be one of these:"
      : "Nothing found. Try other words, or look in the parts below.";
  found.replaceChildren(...(text.trim() === "" ? [] : [note, offerList(offers)]));
}
if (box) {
  let timer: ReturnType<typeof setTimeout> | undefined;
  box.addEventListener("focus", () => void openWords(), { once: true });
  box.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(() => void find(box.value), typingMs);
  });
  box.form?.addEventListener("submit", (event) => {
    event.preventDefault();
    clearTimeout(timer);
    void find(box.value);
  });
}

const tell = () => {
  if (!state) return;
  if (!navigator.onLine)
    state.textContent = "No signal: nobody has been told of anything you do here. Ring.";
  else if (state.textContent?.startsWith("No signal")) state.textContent = "";
};
window.addEventListener("offline", tell);
window.addEventListener("online", tell);
tell();
// A card that is printed at the desk is on no hirer's phone.
if (state)
  void keep().then((kept) => {
    if (kept && navigator.onLine)
      state.textContent = "Kept on this phone: it works without signal.";
  });
