import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { Resvg } from "@resvg/resvg-js";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { openPictures } from "../../src/channels/telegram/pictures.js";
import { concerns } from "../../src/knowledge/book.js";
import { projectFolder, readBook } from "../../src/knowledge/read.js";
import { quietLog } from "../../src/log.js";
import { tellAnswer } from "../../src/wording/entry.js";
import { voiceFor } from "../../src/wording/say.js";

const folder = join(projectFolder(), "knowledge", "pictures");
const drawings = readdirSync(folder)
  .filter((name) => name.endsWith(".svg"))
  .map((name) => name.slice(0, -".svg".length));
const svg = (id: string) => readFileSync(join(folder, `${id}.svg`), "utf8");
const { book } = readBook();
const lights = [...book.entries.values()].filter((entry) => entry.kind === "light");
const sheet: { order: string[] } = parse(readFileSync(join(folder, "sheet.yaml"), "utf8"));

/** Red, green and blue (0 to 255) of every pixel that covers its place fully. */
function pixels(drawing: string): [number, number, number][] {
  const image = new Resvg(drawing, { fitTo: { mode: "width", value: 280 } }).render().pixels;
  const all: [number, number, number][] = [];
  for (let at = 0; at + 3 < image.length; at += 4) {
    const [r = 0, g = 0, b = 0, alpha = 0] = image.subarray(at, at + 4);
    if (alpha === 255) all.push([r, g, b]);
  }
  return all;
}

/** The name of a bright colour by its hue in degrees; undefined for what is dark, grey or in between. */
function colourName([r, g, b]: [number, number, number]): string | undefined {
  const most = Math.max(r, g, b);
  const span = most - Math.min(r, g, b);
  if (most < 120 || span < 80) return undefined;
  const sector =
    most === r ? ((g - b) / span + 6) % 6 : most === g ? (b - r) / span + 2 : (r - g) / span + 4;
  const hue = sector * 60;
  if (hue < 20 || hue > 340) return "red";
  if (hue >= 30 && hue <= 50) return "amber";
  if (hue >= 100 && hue <= 160) return "green";
  if (hue >= 200 && hue <= 240) return "blue";
  return "another colour";
}

const coloursIn = (drawing: string) =>
  new Set(pixels(drawing).flatMap((pixel) => colourName(pixel) ?? []));

describe("the drawings", () => {
  it("number at least 34 lights and 20 how-to drawings", () => {
    const ofLights = drawings.filter((id) => id.startsWith("light-"));
    expect(ofLights).toHaveLength(34);
    expect(drawings.length - ofLights.length).toBeGreaterThan(20);
  });

  it.each(drawings)(
    "%s draws the same everywhere: no letters of a font, no script, nothing from outside",
    (id) => {
      const drawing = svg(id);
      expect(drawing).not.toMatch(/<(text|tspan|script|style|image|foreignObject|use)\b/i);
      expect(drawing).not.toMatch(
        /\b(xlink:)?href\b|url\(|\bon[a-z]+=|@import|<!DOCTYPE|<!ENTITY/i,
      );
      expect(drawing.replace('xmlns="http://www.w3.org/2000/svg"', "")).not.toMatch(/\w+:\/\//);
    },
  );

  it.each(drawings)(
    "%s becomes a picture of more than two colours that Telegram can show",
    (id) => {
      const png = openPictures(folder, quietLog)(id);
      expect(png?.subarray(1, 4).toString("latin1")).toBe("PNG");
      expect(new Set(pixels(svg(id)).map((pixel) => pixel.join())).size).toBeGreaterThan(2);
    },
  );
});

describe("the drawings of lights", () => {
  it.each(lights.map((light) => [light.id, light] as const))(
    "%s is in its own colour and no other",
    (id, light) => {
      // ISO 2575 clause 5 and UN R121 Table 1 give the colours; topics.yaml holds them.
      const colours = light.colour === "any" ? ["red", "amber", "green", "blue"] : [light.colour];
      expect(light.text?.picture).toBe(`light-${id}`);
      expect([...coloursIn(svg(`light-${id}`))].sort()).toEqual([...colours].sort());
    },
  );

  it("differ from one another in their lines", () => {
    const shapes = lights.map((light) => svg(`light-${light.id}`).replace(/#[0-9a-f]{6}/g, ""));
    expect(new Set(shapes).size).toBe(lights.length);
  });

  it("stand on the sheet once each, red first, then amber, then blue and green", () => {
    const named = lights.filter((light) => light.id !== "unknown-light");
    expect([...sheet.order].sort()).toEqual(named.map((light) => light.id).sort());
    const ranks = sheet.order.map((id) => {
      const colour = named.find((light) => light.id === id)?.colour;
      return colour === "red" ? 0 : colour === "amber" ? 1 : 2;
    });
    expect(ranks).toEqual([...ranks].sort());
  });

  it("stand on the sheet in the order of the list, each as in its own drawing", () => {
    const parts = svg("lights-sheet").split('<g id="sheet-').slice(1);
    expect(parts.map((part) => part.slice(0, part.indexOf('"')))).toEqual(sheet.order);
    for (const [at, id] of sheet.order.entries()) {
      const own = svg(`light-${id}`).split("\n").slice(1, -2).join("\n");
      expect(parts[at], id).toContain(own);
    }
  });
});

describe("pictures beside answers", () => {
  const shown = [...book.vans.keys()].flatMap((van) => {
    const voice = voiceFor(book, van, "gb-sct", "en");
    return [...book.entries.values()].flatMap((entry) =>
      entry.kind === "answer" && concerns(entry, voice.van)
        ? tellAnswer(voice, entry).pictures.map((picture) => ({ van, entry: entry.id, picture }))
        : [],
    );
  });

  it("exist, every one", () => {
    expect(shown.length).toBeGreaterThan(60);
    for (const { entry, picture } of shown) expect(drawings, entry).toContain(picture);
  });

  it("never show another van than the hirer's", () => {
    const others = shown.filter(({ van, picture }) =>
      [...book.vans.keys()].some((other) => other !== van && picture.endsWith(`-${other}`)),
    );
    expect(others).toEqual([]);
  });

  it.each([...book.vans.keys()])(
    "of the kit of %s mark each piece in the half where it is told to be",
    (van) => {
      // Seen from above, front to the left; the van's body spans 70 to 490. In the order of the marks:
      const pieces =
        "extinguisher blanket first-aid triangle hi-vis hook-up-cable tools ramps chairs handbook";
      const { values } = voiceFor(book, van, "gb-sct", "en");
      const marks = [...svg(`kit-${van}`).matchAll(/<rect x="([\d.]+)" y="[\d.]+" width="18"/g)];
      expect(marks).toHaveLength(10);
      const halves = pieces.split(" ").map((piece, i) => {
        const place = `${values.get(`van.place-${piece}`)}`;
        const front = /\b(front|driver|dashboard|glovebox)\b/.test(place);
        const rear = /\b(rear (store|door)|tailgate)\b/.test(place);
        const isFront = Number(marks[i]?.[1]) < 280;
        return front === rear || front === isFront ? "right" : `${piece}: ${place}`;
      });
      expect(halves.filter((half) => half !== "right")).toEqual([]);
    },
  );

  it("leave no how-to drawing unused", () => {
    const used = new Set(shown.map(({ picture }) => picture));
    const howTo = drawings.filter((id) => !id.startsWith("light-") && id !== "lights-sheet");
    expect(howTo.filter((id) => !used.has(id))).toEqual([]);
  });
});
