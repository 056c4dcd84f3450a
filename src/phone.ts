/** Telephone numbers: as people write them, as they are dialled, and internationally (ITU-T E.164). Pure. */

/** "+" and 7 to 15 digits, the first of them no 0 (ITU-T E.164, 6.1: at most 15). */
const international = /^\+[1-9]\d{6,14}$/;

/** A number without what people put in to read it by; "00" before a country is "+". */
function dialled(text: string): string {
  const digits = text.replace(/\(0\)/g, "").replace(/[^\d+]/g, "");
  return digits.replace(/^00/, "+");
}

/** The numbers in a field, as dialled: "07700 900500 / +44 (0)7700 900501" has two. What is too short is none. */
export function numbersIn(text: string): string[] {
  const found = text.match(/\+?\d(?:[\d .()-]*\d)?/g) ?? [];
  return found.map(dialled).filter((n) => /^\+?\d{7,15}$/.test(n));
}

/** A number in international form; a national one ("0…") belongs to the country of `code` ("44"). */
export function e164(text: string, code: string): string | undefined {
  const [number = ""] = numbersIn(text);
  const full = number.startsWith("0") ? `+${code}${number.slice(1)}` : number;
  return international.test(full) ? full : undefined;
}

/** How an international number may stand in a booking: as it is, or as dialled within the country of `code`. */
export function waysToWrite(number: string, code: string): string[] {
  const home = `+${code}`;
  return number.startsWith(home) ? [number, `0${number.slice(home.length)}`] : [number];
}
