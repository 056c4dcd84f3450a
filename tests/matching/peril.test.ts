import { describe, expect, it } from "vitest";
import { understand } from "../../src/hires/understand.js";
import { anyDanger } from "../../src/triage/danger.js";
import { book, matcher } from "../kit/hire.js";

function heard(text: string, of = "curlew") {
  const van = book.vans.get(of);
  if (!van) throw new Error(`no van ${of}`);
  const { danger, doubt, outcome } = understand(matcher, { text, van });
  return { danger, doubt, triaged: outcome === "triage" };
}

describe("whether a message tells of a danger", () => {
  it.each([
    ["fire fire fire!!!", "fire"],
    ["HELP FIRE", "fire"],
    ["there is a fire in the van", "fire"],
    ["chip pan's gone up", "fire"],
    ["gas leak", "gas-leak"],
    ["not breathing", "unconscious"],
    ["shes fitting", "medical"],
    ["stuck on level crossing", "level-crossing"],
    ["the tide is coming in and we are stuck", "water-rising"],
    ["he has a knife", "threat"],
  ])("hears the plainest words: %s", (text, id) => {
    expect(heard(text)).toEqual({ danger: id, doubt: false, triaged: true });
  });

  it.each([
    "we were all in tears, dad laughed so hard he couldn't breathe. how does the roof come down?",
    "The tune of the day is that old one about a train wreck. Where do the chairs live?",
    "Slept like the dead, my back is killing me. Are there more pillows?",
    "could you get electrocuted plugging in with wet hands? which end goes first",
  ])("lets figures of speech and what may happen pass: %s", (text) => {
    expect(heard(text).triaged).toBe(false);
  });

  it("weighs the same alarming words less the more is told around them", () => {
    const words = "dad couldn't breathe";
    const story = `we were all in tears at the sheep in the window, ${words} for laughing. how does the roof come down?`;
    expect(heard(words).danger).toBeDefined();
    expect(heard(story).danger).toBeUndefined();
  });

  it.each([
    ["El río está subiendo muy rápido, el agua ya entra por las puertas", "water-rising"],
    ["Hilfe, es brennt im Motorraum", "fire"],
  ])("takes signs in another language at their word: %s", (text, id) => {
    expect(heard(text)).toEqual({ danger: id, doubt: false, triaged: true });
  });

  it.each(["help me", "HELP US!!", "sos", "please help, quick", "its an emergency"])(
    "asks a cry for help whether anybody is in danger: %s",
    (text) => {
      expect(heard(text)).toMatchObject({ danger: anyDanger, doubt: true });
    },
  );

  it.each(["can you help me with the awning", "hi, can you help", "I need help with the fridge"])(
    "takes a call for a hand as no cry: %s",
    (text) => {
      expect(heard(text)).toMatchObject({ danger: undefined, doubt: false });
    },
  );

  it("names no danger that this van cannot have", () => {
    const text = "the big battery under the floor is hissing and hot after we hit a rock";
    expect(heard(text, "plover").danger).toBe("hv-damage");
    expect(heard(text, "wren").danger).not.toBe("hv-damage");
  });
});
