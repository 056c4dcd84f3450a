/** The card that staff read out to roadside assistance: everything it asks, what is missing marked "ask". Pure. */
import { roadsideOf } from "../knowledge/firm/roadside.js";
import type { VanType } from "../knowledge/placeholders.js";
import { feetInches } from "../knowledge/placeholders.js";
import type { FirmFile } from "../knowledge/schema.js";
import type { Aboard, Need } from "../post.js";
import type { Callout } from "./callout.js";

/** One line; `ask`: not known, or not sure, so it is asked on the phone first. `dial`: the value is a number to ring. */
export type CardLine = { label: string; value: string; ask: boolean; dial?: boolean };

/** What makes it urgent, as staff read it. */
export const needWords: Record<Need, string> = {
  "unsafe-place": "the place is not safe",
  child: "a child",
  alone: "alone",
  "cold-dark": "cold or in the dark",
  medical: "ill, or needs medicine",
  "phone-flat": "phone nearly flat",
  some: "somebody is in need: ask how",
};

type CardFacts = {
  callout: Callout;
  /** Undefined where the book does not know it: then all of it is asked. */
  van: VanType | undefined;
  registration: string;
  firm: FirmFile;
  people: readonly { name: string; phone?: string }[];
  aboard?: Aboard;
  /** The last known place in words; left out when nothing is known. */
  place?: string;
};

const known = (label: string, value: string | undefined): CardLine => ({
  label,
  value: value ?? "ask",
  ask: value === undefined,
});
const metres = (m: number | undefined) =>
  m === undefined ? undefined : `${m.toFixed(2)} m (${feetInches(m)})`;

/**
 * How a vehicle of this kind is carried. Towing an electric van with its wheels on the road can harm its
 * motor, so it goes on a flatbed: common practice, no source; the van's handbook decides.
 */
function carriedHow(van: VanType): string {
  return van.fuel === "electric"
    ? `electric, ${van.figures.driveKWh ?? "?"} kWh: flatbed only, no wheel turning on the road`
    : `${van.fuel}, ${van.has.includes("automatic") ? "automatic" : "manual gearbox"}`;
}

/** The lines in the order in which they are asked on the phone. */
export function roadsideCard(facts: CardFacts): CardLine[] {
  const { callout, van, firm, aboard } = facts;
  const f = van?.figures;
  const names = facts.people.map((p) => p.name).join(", ");
  const phones = facts.people.flatMap((p) => (p.phone ? [`${p.name} ${p.phone}`] : []));
  const needs = (callout.needs ?? []).map((n) => needWords[n]).join(", ");
  const seats = aboard?.childSeats;
  const ring = roadsideOf(firm)?.phone;
  return [
    ...(ring ? [{ label: "Ring", value: ring, ask: false, dial: true }] : []),
    known("We are", `${firm.name}, ${firm.place}; ring back on ${firm.phone}`),
    known(
      "Job",
      callout.roadside?.reference ? `reference ${callout.roadside.reference}` : "a new one",
    ),
    known("What happened", callout.title),
    known("Van", van && `${van.name}: ${van.description}`),
    known("Registration", facts.registration),
    known("Length, width", f && `${metres(f.lengthM)}, ${metres(f.widthM)}`),
    known("Height", metres(f?.heightM)),
    known("Mass", f && `up to ${f.maxMassKg.toLocaleString("en-GB")} kg`),
    known("Carried", van && carriedHow(van)),
    known("Place", facts.place),
    known(
      "Safe to wait there",
      callout.placeSafe === undefined ? undefined : callout.placeSafe ? "yes, they say" : "NO",
    ),
    aboard?.people === undefined
      ? { label: "People", value: `ask (on the hire: ${names})`, ask: true }
      : known("People", `${aboard.people}`),
    known("Child seats", seats === undefined ? undefined : seats === 0 ? "none" : `${seats}`),
    known("Pets", aboard?.pets),
    known("In need", needs || "nobody told of any"),
    known("Where the key is", aboard?.key),
    known("Their phone", phones.length > 0 ? phones.join("; ") : undefined),
  ];
}

/** The card as one message. */
export const cardText = (lines: readonly CardLine[]): string =>
  ["Card to read out", ...lines.map((l) => `${l.label}: ${l.value}`)].join("\n");
