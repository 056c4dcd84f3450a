/** The whole guide of a van type as one Markdown page, from the same entries as the chat. Pure. */
import { actsOn, type Book, concerns, type Entry } from "../knowledge/book.js";
import { fill } from "../knowledge/placeholders.js";
import { tellAnswer, tellDanger, tellTrouble } from "./entry.js";
import { voiceFor } from "./say.js";

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

/** The guide of a van type in a region or nation. Unknown van type: the first one. */
export function guide(book: Book, vanType: string, region: string): string {
  const voice = voiceFor(book, vanType, region, "en");
  const mine = [...book.entries.values()].filter((e) => concerns(e, voice.van));
  const part = (title: string, entries: Entry[]) =>
    entries.length > 0 ? [`## ${title}`, ...entries.map(section)] : [];
  const body = (text: string) => {
    const [title = "", ...rest] = text.split("\n");
    return `### ${title}\n\n${rest.map((l) => (/^(\d+\.|✗)/.test(l) ? l : `${l}\n`)).join("\n")}`.trim();
  };
  function section(entry: Entry): string {
    if (entry.kind === "answer") return body(tellAnswer(voice, entry).text);
    if (entry.kind === "danger")
      return `### ${entry.title}\n\n${tellDanger(voice, entry, { registration: "on the number plate", people: 1 }).text.split("\n").join("\n\n")}`;
    if (entry.kind === "light" || (entry.kind === "fault" && entry.text))
      return `### ${fill(entry.title, voice.values)}\n\n${tellTrouble(
        voice,
        entry,
        actsOn(entry) ?? "soon",
      )
        .text.split("\n")
        .join("\n\n")}`;
    return "";
  }
  return [
    `# ${voice.van.name}: the guide`,
    `${voice.van.description}. ${book.firm.name}, ${book.firm.phone}. In danger: ${fill("{region.emergency}", voice.values)}.`,
    ...part(
      "Danger",
      mine.filter((e) => e.kind === "danger"),
    ),
    ...part(
      "Warning lights",
      mine.filter((e) => e.kind === "light"),
    ),
    ...part(
      "When something goes wrong",
      mine.filter((e) => e.kind === "fault" && e.text),
    ),
    ...Object.entries(areas).flatMap(([area, title]) =>
      part(
        title,
        mine.filter((e) => e.kind === "answer" && e.area === area),
      ),
    ),
  ].join("\n\n");
}
