/** The whole guide of a van type, from the same entries as the chat. Says of nobody that they were told. Pure. */

import { actsOn, type Book, concerns, type Entry } from "../knowledge/book.js";
import { fill } from "../knowledge/placeholders.js";
import type { Severity } from "../severity.js";
import { type Act, actsOf } from "./acts.js";
import { tellAnswer, tellTrouble } from "./entry.js";
import { type Voice, voiceFor } from "./say.js";

/** Areas in the order in which a hirer meets them. */
const areas: Record<string, string> = {
  start: "First things",
  driving: "Driving",
  fuel: "Fuel and fluids",
  ev: "Charging",
  power: "Electricity",
  cooking: "Cooking and gas",
  fridge: "Fridge",
  heating: "Heating and hot water",
  water: "Water and toilet",
  sleeping: "Sleeping and living",
  outside: "Outside",
  doors: "Doors, keys and windows",
  tyres: "Tyres",
  comfort: "Comfort",
  safety: "Safety",
  hire: "Your hire",
};

/** One entry of the guide: its lines as in a message, without the title. */
export type GuideEntry = {
  id: string;
  title: string;
  kind: Entry["kind"];
  severity: Severity | null;
  lines: string[];
  pictures: string[];
};
export type GuidePart = { id: string; title: string; entries: GuideEntry[] };

function told(voice: Voice, entry: Entry): { text: string; pictures: string[] } | undefined {
  if (entry.kind === "answer") return tellAnswer(voice, entry);
  if ((entry.kind === "light" || entry.kind === "fault") && entry.text)
    return tellTrouble(voice, entry, actsOn(entry) ?? "soon");
  if (entry.kind !== "danger") return undefined;
  const acts = actsOf(voice, entry, "on the number plate")?.acts ?? [];
  const lines = (kind: Act["kind"]) => acts.filter((a) => a.kind === kind).flatMap((a) => a.lines);
  const nevers = new Set(acts.flatMap((a) => a.nevers));
  const all = [
    ...lines("first"),
    ...lines("do").map((l, i) => `${i + 1}. ${l}`),
    ...[...nevers].map((n) => `✗ ${n}`),
    ...lines("ring"),
  ];
  return { text: all.join("\n"), pictures: [] };
}

/** The parts of a van's guide in their order; parts without entries are left out. */
export function guideParts(book: Book, voice: Voice): GuidePart[] {
  const mine = [...book.entries.values()].filter((e) => concerns(e, voice.van));
  const part = (id: string, title: string, of: (e: Entry) => boolean): GuidePart => ({
    id,
    title,
    entries: mine.filter(of).flatMap((entry) => {
      const found = told(voice, entry);
      if (!found || entry.kind === "courtesy") return [];
      const name = fill(entry.title, voice.values);
      const { id, kind } = entry;
      const lines = found.text.split("\n").filter((l) => l !== name);
      return [{ id, title: name, kind, severity: actsOn(entry), lines, pictures: found.pictures }];
    }),
  });
  return [
    part("dangers", "Danger", (e) => e.kind === "danger"),
    part("lights", "Warning lights", (e) => e.kind === "light"),
    part("faults", "When something goes wrong", (e) => e.kind === "fault"),
    ...Object.entries(areas).map(([area, title]) =>
      part(area, title, (e) => e.kind === "answer" && e.area === area),
    ),
  ].filter((p) => p.entries.length > 0);
}

/** The guide of a van type in a region or nation, as one Markdown page. Unknown van type: the first one. */
export function guide(book: Book, vanType: string, region: string): string {
  const voice = voiceFor(book, vanType, region, "en");
  const entry = ({ title, kind, lines }: GuideEntry) =>
    kind === "answer"
      ? `### ${title}\n\n${lines.map((l) => (/^(\d+\.|✗)/.test(l) ? l : `${l}\n`)).join("\n")}`.trim()
      : [`### ${title}`, ...lines].join("\n\n");
  return [
    `# ${voice.van.name}: the guide`,
    `${voice.van.description}. ${book.firm.name}, ${book.firm.phone}. In danger: ${fill("{region.emergency}", voice.values)}.`,
    ...guideParts(book, voice).flatMap(({ title, entries }) => [
      `## ${title}`,
      ...entries.map(entry),
    ]),
  ].join("\n\n");
}
