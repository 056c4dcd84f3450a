import { describe, expect, it } from "vitest";
import type { LightEntry } from "../../src/knowledge/book.js";
import { severityNow } from "../../src/triage/lights.js";

const text = (id: string): NonNullable<LightEntry["text"]> => ({
  title: id,
  asks: [],
  hazards: [],
  sources: [],
  related: [],
  steps: [],
  cautions: [],
  symbol: id,
  means: id,
  engineStaysOn: false,
  flashesInUse: false,
  variants: [],
});
const light = (
  id: string,
  colour: LightEntry["colour"],
  severity: LightEntry["severity"],
  untilChecked?: LightEntry["severity"],
): LightEntry => ({
  kind: "light",
  id,
  title: id,
  asks: [],
  needs: [],
  colour,
  severity,
  ...(untilChecked ? { untilChecked } : {}),
  text: text(id),
});
const unknown = light("unknown-light", "any", "stop");

describe("the severity of a light in the hirer's words", () => {
  // Colour meanings: ISO 2575 clause 5 (red danger, amber caution, green and blue information), restated by UN R60 Annex 4.
  it.each([
    ["there is a red light on", "stop"],
    ["some light is flashing", "stop"],
    ["a light has come on", "stop"],
    ["orange light on but it drives normally", "soon"],
    ["a blue light is on", "note"],
    ["green light, what is it", "note"],
  ] as const)("an unclear light: %s → %s", (text, severity) => {
    expect(severityNow(unknown, text)).toBe(severity);
  });
  it("an engine light stops the van until it is said to be steady", () => {
    const engine = light("engine-steady", "amber", "soon");
    expect(severityNow(engine, "engine light is on")).toBe("stop");
    expect(severityNow(engine, "engine light is on, steady not flashing")).toBe("soon");
  });
  it("an amber light seen in red is treated as the worse", () => {
    expect(severityNow(light("abs", "amber", "soon"), "abs light is red")).toBe("stop");
    expect(severityNow(light("abs", "amber", "soon"), "abs light came on")).toBe("soon");
  });
  it("acts on the severity of the guided check until it is cleared", () => {
    expect(severityNow(light("oil-level", "amber", "soon", "stop"), "oil level light")).toBe(
      "stop",
    );
  });
  it("a glow-plug light that flashes while driving is soon, otherwise a note", () => {
    expect(severityNow(light("glow-plug", "amber", "note"), "the coil light is flashing")).toBe(
      "soon",
    );
    expect(severityNow(light("glow-plug", "amber", "note"), "the coil light before starting")).toBe(
      "note",
    );
  });
  it("flashing makes an amber light worse, but for one that flashes in use", () => {
    const told = light("some-light", "amber", "soon");
    const inUse = { ...told, text: { ...text("some-light"), flashesInUse: true } };
    expect(severityNow(told, "it is flashing")).toBe("stop");
    expect(severityNow(inUse, "it is flashing")).toBe("soon");
    expect(severityNow(inUse, "it is red")).toBe("stop");
  });
});
