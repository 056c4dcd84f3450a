/** A notice from its form, or what is wrong with it and what would be right. Pure. */
import { type Instant, knowsZone, readLocal } from "../../calendar.js";
import { Fault } from "../../faults.js";
import type { Book } from "../../knowledge/book.js";
import type { Audience } from "../../post.js";
import { type Form, text as field } from "../read-forms.js";

export type Draft = {
  title: string;
  text: string;
  to: Audience;
  until?: Instant;
  joiners: boolean;
};
export type Wrong = Partial<Record<"title" | "text" | "region" | "vanType" | "until", string>>;

const most = { title: 80, text: 1500 };

/** The countries and nations that a notice may be about, with their names. */
export const regionsOf = (book: Book): [string, string][] =>
  [...book.regions].flatMap(([key, region]) => [
    [key, region.name] as [string, string],
    ...Object.entries(region.nations)
      .filter(([id]) => id !== key)
      .map(([id, nation]): [string, string] => [id, nation.name]),
  ]);

/** `until` is local to `zone`. */
export function readDraft(
  form: Form,
  book: Book,
  now: Instant,
  zone: string,
): { draft: Draft } | { wrong: Wrong } {
  const wrong: Wrong = {};
  const words = (name: "title" | "text", what: string): string => {
    const value = field(form, name).replaceAll("\r\n", "\n");
    if (value === "") wrong[name] = what;
    if (value.length > most[name])
      wrong[name] = `${value.length} letters; at most ${most[name]} are sent.`;
    return value;
  };
  const title = words("title", "A line that says what it is, such as Storm on Thursday night.");
  const text = words("text", "What they should know and do.");
  const region = field(form, "region");
  if (region !== "" && !regionsOf(book).some(([id]) => id === region))
    wrong.region = "Choose a country or nation of the list.";
  const vanType = field(form, "vanType");
  if (vanType !== "" && !book.vans.has(vanType)) wrong.vanType = "Choose a van type of the list.";
  const joiners = field(form, "joiners") === "1";
  let until: Instant | undefined;
  const given = field(form, "until");
  if (given !== "" && knowsZone(zone))
    try {
      until = readLocal(given, zone);
      if (until <= now) wrong.until = "That time is over; a later one is needed.";
    } catch (error) {
      if (!(error instanceof Fault)) throw error;
      wrong.until = `${error.message}.`;
    }
  if (joiners && given === "") wrong.until = "Until when do those who come later get it?";
  if (Object.keys(wrong).length > 0) return { wrong };
  const to = { ...(region === "" ? {} : { region }), ...(vanType === "" ? {} : { vanType }) };
  return { draft: { title, text, to, joiners, ...(until === undefined ? {} : { until }) } };
}
