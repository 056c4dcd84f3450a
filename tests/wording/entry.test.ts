import { describe, expect, it } from "vitest";
import { actsOn, concerns } from "../../src/knowledge/book.js";
import { forbiddenIn } from "../../src/knowledge/forbidden.js";
import { readBook } from "../../src/knowledge/read.js";
import { tellAnswer, tellDanger, tellTrouble } from "../../src/wording/entry.js";
import { guide } from "../../src/wording/guide.js";
import { phrase, voiceFor } from "../../src/wording/say.js";

const { book } = readBook();
const languages = [...book.dangersIn.keys()];
const vans = [...book.vans.keys()];
const regions = ["gb-eng", "gb-sct", "gb-wls", "gb-nir", "ie"];
/** Bot API, sendMessage: text of 1–4096 characters. */
const longest = 4096;

describe("what is told", () => {
  it.each(vans)(
    "every entry for %s is whole, in every nation: no open placeholder, within a message, no forbidden wording",
    (van) => {
      let told = 0;
      for (const region of regions) {
        const voice = voiceFor(book, van, region, "en");
        for (const entry of book.entries.values()) {
          if (!concerns(entry, voice.van) || entry.kind === "courtesy") continue;
          if (entry.kind === "fault" && !entry.text) continue;
          const { text } =
            entry.kind === "answer"
              ? tellAnswer(voice, entry)
              : entry.kind === "danger"
                ? tellDanger(voice, entry, { words: "", registration: "SX26 ABC", people: 2 })
                : tellTrouble(voice, entry, actsOn(entry) ?? "soon");
          told++;
          expect(text, `${entry.id} in ${region}`).not.toMatch(/\{[a-z]+\.[a-z-]+\}|undefined|NaN/);
          expect(text.length, entry.id).toBeLessThanOrEqual(longest);
          expect(forbiddenIn(text), entry.id).toEqual([]);
        }
      }
      expect(told).toBeGreaterThan(800);
    },
  );
  it.each(["en", ...languages])(
    "every danger in %s has the emergency numbers in its first line",
    (lang) => {
      for (const [region, numbers] of [
        ["gb", ["999", "112"]],
        ["ie", ["112", "999"]],
      ] as const) {
        const voice = voiceFor(book, "plover", region, lang);
        for (const entry of book.entries.values()) {
          if (entry.kind !== "danger") continue;
          const [first = ""] = tellDanger(voice, entry, {
            words: "",
            registration: "SX26 ABC",
            people: 2,
          }).text.split("\n");
          for (const number of numbers)
            expect(first, `${entry.id} ${lang} ${region}`).toContain(number);
          if (lang !== "en") expect(first, entry.id).not.toContain(" or ");
        }
      }
    },
  );
  it.each([
    ["en", "boiling water all over her leg", "Burn: cool clean water"],
    ["en", "he swallowed some of that blue fluid", "Swallowed or splashed:"],
    ["en", "my dad has pain in the chest and his arm is weak", "Chest pain:"],
    ["en", "come quick please, we need a doctor", "Face drooping"],
    ["en", "he is shivering and confused after the loch", "Very cold"],
    ["en", "she wants to kill herself", "Wants to kill or hurt themselves"],
    ["en", "our boy is choking on a grape", "Choking, cannot cough: five hard blows"],
    ["de", "scalded, help", "Verbrennung:"],
    ["de", "mein Sohn hat sich verschluckt und erstickt", "Erstickt an etwas"],
    ["fr", "mon fils s'étouffe", "S'étouffe"],
    ["es", "mi hijo se atraganta", "Se atraganta"],
    ["it", "mio figlio sta soffocando", "Soffoca"],
    ["nl", "mijn zoon stikt", "Stikt in iets"],
    ["pl", "syn się zadławił", "Zadławienie"],
    ["pl", "oparzył się wrzątkiem", "Oparzenie"],
  ])("what to do in the case that is told comes first (%s, %s)", (lang, words, first) => {
    const medical = book.entries.get("medical");
    if (medical?.kind !== "danger") throw new Error("no medical");
    const voice = voiceFor(book, "curlew", "gb", lang);
    const stepsFor = (words: string) =>
      tellDanger(voice, medical, { words, registration: "SX26 ABC", people: 2 })
        .text.split("\n")
        .filter((l) => /^\d\. /.test(l))
        .map((l) => l.slice(3));
    expect(stepsFor(words)[0]).toContain(first);
    expect(new Set(stepsFor(words)).size).toBe(7);
    // Whatever was told, not breathing is among what is shown.
    expect(stepsFor(words).join()).toContain(stepsFor("")[2]);
  });
  it("a danger in another language comes with a card in English for the operator", () => {
    const fire = book.entries.get("fire");
    if (fire?.kind !== "danger") throw new Error("no fire");
    const { text } = tellDanger(voiceFor(book, "curlew", "gb", "de"), fire, {
      words: "",
      registration: "SX26 ABC",
      people: 3,
      place: "57.1, -4.2",
    });
    expect(text).toContain("I am with a campervan, registration SX26 ABC");
    expect(text).toContain("57.1, -4.2");
    expect(text).toContain("Ich kann dort nicht für Sie anrufen.");
  });
  it.each([
    ["medical", "mein Kind hat sich verschluckt", "somebody is very ill, perhaps choking."],
    ["medical", "Hilfe, ein Arzt", "somebody is very ill."],
    ["threat", "", "somebody threatens us."],
  ])("whose card says what happened and nothing else (%s, %s)", (id, words, what) => {
    const entry = book.entries.get(id);
    if (entry?.kind !== "danger") throw new Error(`no ${id}`);
    const voice = voiceFor(book, "curlew", "gb", "de");
    const facts = { words, registration: "SX26 ABC", people: 1 };
    const { text } = tellDanger(voice, entry, facts);
    expect(text).toContain(
      `Leitstelle dies, oder lesen Sie es auf Englisch vor:\n"I am with a campervan, registration SX26 ABC, hired from ${book.firm.name}. 1 person is on the hire. What happened: ${what}"\n`,
    );
  });
  it("the call order, a person and the light colours are there in every language", () => {
    for (const lang of languages)
      for (const id of [
        "cannot-ring",
        "danger-where",
        "danger-us",
        "card-show",
        "ring-firm",
        "ring-roadside",
        "get-a-person",
        "light-colours",
        "or",
      ]) {
        const own = phrase(voiceFor(book, "wren", "gb", lang), id);
        expect(own.length, `${id}-${lang}`).toBeGreaterThan(0);
        expect(own, `${id}-${lang}`).not.toBe(phrase(voiceFor(book, "wren", "gb", "en"), id));
      }
  });
  it("a stop names the firm before roadside assistance and never offers to switch the engine off where that strands the van", () => {
    const voice = voiceFor(book, "curlew", "gb", "en");
    const told = (id: string) => {
      const entry = book.entries.get(id);
      return entry?.kind === "light" ? tellTrouble(voice, entry, "stop").text : "";
    };
    const oil = told("oil-pressure");
    expect(oil.indexOf(book.firm.phone)).toBeGreaterThan(0);
    expect(oil.indexOf(book.firm.phone)).toBeLessThan(
      oil.indexOf(book.firm.contacts["roadside"]?.phone ?? "?"),
    );
    expect(oil).toContain("engine off");
    for (const id of ["exhaust-fluid-no-restart", "charging-system", "particle-filter"])
      expect(told(id), id).not.toContain("Once stopped: engine off");
  });
  it.each(vans)("the guide of %s holds every entry that concerns it, each once", (van) => {
    const voice = voiceFor(book, van, "gb", "en");
    const text = guide(book, van, "gb");
    const sections = text.match(/^### /gm)?.length ?? 0;
    const concerned = [...book.entries.values()].filter(
      (e) => e.kind !== "courtesy" && concerns(e, voice.van) && !(e.kind === "fault" && !e.text),
    );
    expect(sections).toBe(concerned.length);
  });
});
