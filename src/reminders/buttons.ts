/** How a reply to a reminder is asked for and repeated: names, buttons, readings in words. Pure; words from the book. */
import type { RemindersFile, Want } from "../knowledge/schema.js";
import type { Button, Reading } from "../post.js";
import { sayKm, type Unit } from "./distance.js";

/** "the oil mark: …; the odometer, …": what to ask for, its placeholders still to be filled. */
export const namesOf = (wants: readonly Want[], file: RemindersFile): string =>
  wants.map((w) => file.replies[w].name).join("; ");

/** The buttons for a reply; each comes back as "r:want=value", which readReading reads without its "r:". */
export const buttonsFor = (wants: readonly Want[], file: RemindersFile): Button[] =>
  wants.flatMap((want) =>
    file.replies[want].buttons.map(({ value, label }) => ({ tap: `r:${want}=${value}`, label })),
  );

/** The value of a button that buttonsFor made, written "want=value". */
export function pressedButton(
  text: string,
  file: RemindersFile,
): { want: Want; value: string } | undefined {
  const shape = /^([a-z]+)=([a-z-]+)$/.exec(text.trim());
  const reply = Object.entries(file.replies).find(([want]) => want === shape?.[1]);
  const value = shape?.[2] ?? "";
  if (!reply?.[1].buttons.some((b) => b.value === value)) return undefined;
  return { want: reply[0] as Want, value };
}
/** Shares of a tank by the value of their button. */
export const levels: Record<string, number> = {
  full: 1,
  "three-quarters": 0.75,
  half: 0.5,
  quarter: 0.25,
  "nearly-empty": 0.1,
};

/** A reading's note without the words of the hirer that it quotes. */
export const unquoted = (note: string): string => note.replace(/ \("[\s\S]*"\)$/, "");

/** A reading as it is repeated to the hirer: "oil: between the marks, odometer: 57,340 miles". */
export function sayReading(reading: Partial<Reading>, unit: Unit, file: RemindersFile): string {
  const mark = file.replies.oil.buttons.find((b) => b.value === reading.oil)?.label;
  const share = (n: number): string => `about ${Math.round(n * 100)} %`;
  return [
    ...(mark === undefined ? [] : [`oil: ${mark.charAt(0).toLowerCase()}${mark.slice(1)}`]),
    ...(reading.odometerKm === undefined ? [] : [`odometer: ${sayKm(reading.odometerKm, unit)}`]),
    ...(reading.fluid === undefined ? [] : [`exhaust fluid: ${share(reading.fluid)}`]),
    ...(reading.fuel === undefined ? [] : [`fuel: ${share(reading.fuel)}`]),
    ...(reading.note === undefined ? [] : [unquoted(reading.note)]),
  ].join(", ");
}
