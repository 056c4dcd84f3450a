/** Dangers and what must not move, as acts to follow one at a time. Says of nobody that they were told. Pure. */
import {
  actsOn,
  type Book,
  concerns,
  concernsDriving,
  type DangerEntry,
  type Entry,
} from "../knowledge/book.js";
import { checkOf } from "../knowledge/checks/for-van.js";
import { fill, fillSteps } from "../knowledge/placeholders.js";
import type { Question } from "../knowledge/schema.js";
import { isGrave } from "../severity.js";
import { bodyFor, onceStopped } from "./entry.js";
import { phrase, type Voice } from "./say.js";

/** One act, for one screen. */
export type Act = {
  kind: "first" | "do" | "ring";
  lines: string[];
  /** Always shown beside it: what to take care of, and what never to do. */
  cautions: string[];
  nevers: string[];
  picture?: string | undefined;
};
export type Guided = {
  id: string;
  title: string;
  severity: "danger" | "stop";
  acts: Act[];
  /** Comes after the acts and before the last one, which says whom to ring. */
  check?: Question | undefined;
};

function dangerActs(voice: Voice, entry: DangerEntry, registration: string): Act[] {
  const told = voice.book.dangersIn.get(voice.lang)?.get(entry.id) ?? entry.text;
  const filled = (text: string) => fill(text, voice.values);
  const act = (kind: Act["kind"], ...lines: string[]): Act => ({
    kind,
    lines,
    cautions: [],
    nevers: kind === "do" ? told.never.map(filled) : [],
  });
  return [
    act("first", filled(told.first), phrase(voice, "tell-operator", { registration })),
    ...told.steps.map((step) => act("do", filled(step))),
    act("ring", phrase(voice, "danger-us")),
  ];
}

/** What a light or fault asks for, in order; undefined where its words stand in another entry. */
function troubleActs(voice: Voice, entry: Entry): { acts: Act[]; check?: Question } | undefined {
  if ((entry.kind !== "light" && entry.kind !== "fault") || !entry.text) return undefined;
  const { text } = entry;
  const body = bodyFor(voice, text);
  const filled = (t: string) => fill(t, voice.values);
  const cautions = body.cautions.map(filled);
  const moving = concernsDriving(entry);
  const first: Act = {
    kind: "first",
    lines: [
      ...(actsOn(entry) === "danger" ? [phrase(voice, "doubt")] : []),
      ...(moving ? [phrase(voice, "stop-first")] : []),
      ...("means" in text ? [filled(text.means)] : []),
      phrase(voice, "may-move-stop"),
    ],
    cautions,
    nevers: [],
    picture: text.picture,
  };
  const act = (...lines: string[]): Act => ({ kind: "do", lines, cautions, nevers: [] });
  const roadside = entry.kind === "light" || entry.text.roadside;
  const check = checkOf(voice, entry);
  return {
    acts: [
      first,
      ...(moving ? [act(phrase(voice, onceStopped(entry))), act(phrase(voice, "motorway"))] : []),
      ...(body.lead ? [act(filled(body.lead))] : []),
      ...fillSteps(body.steps, voice.values).map((step) => act(step)),
      ...(body.ifNot ? [act(filled(body.ifNot))] : []),
      {
        kind: "ring",
        lines: [
          ...(body.ring ? [filled(body.ring)] : []),
          phrase(voice, "ring-firm"),
          ...(roadside ? [phrase(voice, "rang-twice")] : []),
          ...(moving ? [phrase(voice, "place-not-safe")] : []),
        ],
        cautions: [],
        nevers: [],
      },
    ],
    ...(check ? { check } : {}),
  };
}

/** The acts of an entry; undefined where it is neither a danger nor a stop, or does not concern the van. */
export function actsOf(voice: Voice, entry: Entry, registration: string): Guided | undefined {
  const severity = actsOn(entry);
  if (!concerns(entry, voice.van) || !isGrave(severity)) return undefined;
  const more =
    entry.kind === "danger"
      ? { acts: dangerActs(voice, entry, registration) }
      : troubleActs(voice, entry);
  return more && { id: entry.id, title: fill(entry.title, voice.values), severity, ...more };
}

/** All of a van, dangers first, in the order of the book. */
export function allActs(book: Book, voice: Voice, registration: string): Guided[] {
  const all = [...book.entries.values()].flatMap((e) => actsOf(voice, e, registration) ?? []);
  return [
    ...all.filter((g) => g.severity === "danger"),
    ...all.filter((g) => g.severity === "stop"),
  ];
}
