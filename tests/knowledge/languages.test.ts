/** The dangers in other languages hold what the English ones hold. */
import { describe, expect, it } from "vitest";
import { phrase, voiceFor } from "../../src/wording/say.js";
import { book } from "./told.js";

const languages = [...book.dangersIn.keys()];
const named = (texts: readonly string[]) =>
  new Set(texts.flatMap((t) => [...t.matchAll(/\{[a-z.-]+\}/g)].map(([name]) => name)));
const english = (id: string) => {
  const entry = book.entries.get(id);
  if (entry?.kind !== "danger") throw new Error(`no danger ${id}`);
  return entry.text;
};
const abroad = (lang: string, id: string) => {
  const text = book.dangersIn.get(lang)?.get(id);
  if (!text) throw new Error(`no ${id} in ${lang}`);
  return text;
};
/** Left out where it would be a number too many. */
const mayMiss = new Set(["{region.power-cut}"]);

describe.each(languages)("the dangers in %s", (lang) => {
  it("give the numbers that the English ones give", () => {
    for (const [id, text] of book.dangersIn.get(lang) ?? []) {
      const { first, steps, never } = english(id);
      const own = named([text.first, ...text.steps, ...text.never]);
      const missing = [...named([first, ...steps, ...never])].filter((n) => !own.has(n));
      expect(
        missing.filter((n) => !mayMiss.has(n)),
        id,
      ).toEqual([]);
    }
  });
  it("warn of all that the English ones warn of, and leave out no step", () => {
    // The cable beside who does not wake is told with the first look; whom to ring for a line that is down is left out.
    const fewer = new Map([
      ["unconscious", 1],
      ["electric-shock", 1],
    ]);
    for (const [id, { steps, never }] of book.dangersIn.get(lang) ?? []) {
      expect(never, id).toHaveLength(english(id).never.length);
      expect(steps, id).toHaveLength(english(id).steps.length - (fewer.get(id) ?? 0));
    }
  });
  it("tell what to do about choking apart from what was swallowed, about cold, and never to leave them alone", () => {
    const medical = abroad(lang, "medical");
    expect(medical.steps).toHaveLength(english("medical").steps.length);
    expect(medical.cases).toHaveLength(medical.steps.length);
    expect(medical.never).toHaveLength(english("medical").never.length);
    const [, , choking = "", , , , swallowed = "", cold = ""] = medical.steps;
    expect(choking).toMatch(/Schulterblätter|omoplates|omóplatos|scapole|schouderbladen|łopatki/);
    expect(choking).not.toMatch(/Wasser|eau|agua|acqua|water|wod/);
    expect(swallowed).toMatch(/Wasser|eau|agua|acqua|water|wod/);
    expect(cold).toMatch(/Decken|couvertures|mantas|coperte|dekens|koce/);
  });
  it("press a child's or a baby's chest by a third, not by centimetres", () => {
    expect(abroad(lang, "unconscious").steps.join()).toMatch(
      /Baby: ein Drittel|bébé : un tiers|bebé: un tercio|neonato: un terzo|baby: een derde|niemowlę: jedna trzecia/,
    );
  });
  it("press the chest of who does not breathe normally, never of who only breathes badly or is awake", () => {
    for (const [id, { first, steps }] of book.dangersIn.get(lang) ?? [])
      expect([first, ...steps].join(), id).not.toMatch(
        /respira bien|respira bene|respire pas bien/,
      );
    const asleep = /wacht nicht auf|réveille pas|despierta|sveglia|niet wakker|nie budzi/;
    for (const id of ["carbon-monoxide", "electric-shock"]) {
      const press = abroad(lang, id).steps.filter((s) =>
        /Brust|poitrine|pecho|petto|borst|klatk/.test(s),
      );
      expect(press, id).toEqual([expect.stringMatching(asleep)]);
    }
  });
  it("keep who is inside a live van in it, and tell a power line on the van from the van's own cable", () => {
    const [post, , , , live, line] = abroad(lang, "electric-shock").steps;
    expect(post).toMatch(/Wechselrichter|convertisseur|inversor|inverter|omvormer|przetwornica/);
    expect(live).toMatch(/bleibt drin|y reste|se queda|resta dentro|blijft binnen|zostaje/);
    expect(line).toMatch(
      /Freileitung|Ligne électrique|cable de la luz|linea elettrica|Bovengrondse|Linia energetyczna/,
    );
  });
  it("lock nobody in with whoever threatens them", () => {
    expect(abroad(lang, "threat").first).not.toMatch(
      /^(Türen|Verrouillez|Cierren|Chiudete le|Doe de deuren|Zamknijcie drzwi)/,
    );
  });
  it("stopped in traffic: stay in only where there is no way out, else far from the van, never back, with whoever orders a recovery", () => {
    const { first, steps, never } = abroad(lang, "live-lane");
    expect(first).toMatch(/^(Wenn|Si|Se|Als|Jeśli) /);
    expect(steps).toHaveLength(english("live-lane").steps.length);
    expect(steps.join("\n")).toMatch(
      /weit weg vom Wagen|loin du van|lejos de la furgoneta|lontano dal van|ver van de bus|daleko od auta/,
    );
    expect(steps.at(-1)).toMatch(
      /[Pp]olizei|[Pp]olice|[Pp]olicía|[Pp]olizia|[Pp]olitie|[Pp]olicja/,
    );
    expect(never.at(-1)).toMatch(/zurückgehen|retournez|vuelvan|tornare|teruggaan|wracajcie/);
  });
  it("say who may order a recovery, and that two calls are enough to ring roadside assistance", () => {
    expect(phrase(voiceFor(book, "wren", "gb", lang), "ring-roadside")).toMatch(
      /(zwei Anrufe|deux appels|dos llamadas|due chiamate|twee telefoontjes|dwa telefony).*(Straßenbetreiber|exploitant de la route|operador de la carretera|gestore della strada|wegbeheerder|zarządca drogi)/,
    );
  });
});
