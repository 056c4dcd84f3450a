/**
 * Conversation scripts, read by people and played by `talk`. One line each:
 *   # title, then why it matters          hire: van=… type=… pickup=… return=… zone=… region=… [lang=…]
 *   firm: shifts (test alerts and handing over are played too)
 *   people: Ann, Ben                       at 2026-06-03T21:00+01:00        +10m (or +2h)
 *   hirer> words       hirer:Ben> words    tap> Label    photo> caption     place> 57.1, -4.2
 *   late 2026-06-03T14:10+01:00> words     unknown> words
 *   text> words        text:Ben> words     late text 2026-06-03T14:10+01:00> words     (by text message)
 *   edited> words (a message that was changed)     sends> voice message (what cannot be read)
 *   booking: van=… type=… return=… (changed on the way)
 *   a further hire: and people: below the story so far book the next hire; what follows is of it
 *   staff:Morag pickup-record odometer=92000 oil=between fluid=1 fuel=1 (km, shares) | return-record … | clear #1 words | release words
 *   staff:Morag> words   staff:Morag take | pass Callum | promise 21:30 | phone | heard | keep | note words
 *   staff:Morag roadside R123 21:50 | roadside R123 | roadside | came | done by-advice | done joined to 1
 *   staff:Morag tap> Label     "#2" after the act names the call-out     [restart]
 *   staff:Morag here | stand-in | off | off Callum | stay      (of a shift)
 * What comes out stands below what caused it, in order, complete and in its time; silence is checked too:
 *   bot:Ann> part … part        alert:Morag> part … part      hook> part       change> 1 with Morag stop
 * A text matches when its parts, joined by " … ", occur in it in that order.
 */
import type { Out } from "../../scripts/play/player.js";
import { after, isoIn, readIso } from "../../src/calendar.js";

export type Script = {
  title: string;
  jsonl: string;
  /** Each comes after `since` ("": whenever) and not after `at`; where both are the same, then. */
  expected: { line: number; text: string; since: string; at: string }[];
};

/** Reads a script file. Throws with the line number on anything it does not know. */
export function parseScript(source: string): Script {
  const jsonl: Record<string, unknown>[] = [];
  const expected: Script["expected"] = [];
  let title = "";
  const hires: { hire: Record<string, string>; people?: string[] }[] = [];
  let at = "";
  let since = "";
  let shifts = false;
  const zone = () => hires.at(-1)?.hire["zone"] ?? "Europe/London";
  const from = (who: string | undefined) => `hirer${who ?? ""}`;
  const moved = (to: string) => {
    at = isoIn(readIso(to), zone());
    jsonl.push({ at });
  };
  /** What a line may be, and what it means; the groups of the pattern are given. */
  const kinds: [RegExp, (...groups: string[]) => void][] = [
    [
      /^#\s*(.*)$/,
      (text) => {
        title ||= text;
      },
    ],
    [
      /^hire: (.+)$/,
      (pairs) => {
        hires.push({ hire: Object.fromEntries(pairs.split(/\s+/).map((p) => p.split("="))) });
        // A further hire is booked where it stands in the script; its people stand in the line below.
        if (hires.length > 1) jsonl.push({ at, next: hires.length - 1 });
      },
    ],
    [
      /^booking: (.+)$/,
      (pairs) => {
        const { type, ...rest } = Object.fromEntries(pairs.split(/\s+/).map((p) => p.split("=")));
        jsonl.push({ at, change: { ...rest, ...(type ? { vanType: type } : {}) } });
      },
    ],
    [
      /^people: (.+)$/,
      (names) => {
        const last = hires.at(-1);
        if (last) last.people = names.split(",").map((p) => p.trim());
      },
    ],
    [
      /^firm: shifts$/,
      () => {
        shifts = true;
      },
    ],
    [/^staff:(\w+) (here|stand-in|stay)$/, (duty, act) => jsonl.push({ at, duty, do: act })],
    [
      /^staff:(\w+) off(?: (\w+))?$/,
      (duty, to) => jsonl.push({ at, duty, do: "off", ...(to ? { to } : {}) }),
    ],
    [/^at (\S+)$/, moved],
    [/^\+(\d+)m$/, (n) => moved(isoIn(after(readIso(at), Number(n)), zone()))],
    [/^\+(\d+)h$/, (n) => moved(isoIn(after(readIso(at), Number(n) * 60), zone()))],
    [/^\[restart\]$/, () => jsonl.push({ at, do: "restart" })],
    [/^late (\S+)> (.+)$/, (writtenAt, text) => jsonl.push({ at, from: "hirer", text, writtenAt })],
    [/^hirer(:[^>]+)?> (.+)$/, (who, text) => jsonl.push({ at, from: from(who), text })],
    [/^tap(:[^>]+)?> (.+)$/, (who, tap) => jsonl.push({ at, from: from(who), tap })],
    [
      /^photo(:[^>]+)?>\s*(.*)$/,
      (who, text) => jsonl.push({ at, from: from(who), photo: true, ...(text ? { text } : {}) }),
    ],
    [
      /^place(:[^>]+)?> (-?[\d.]+), (-?[\d.]+)$/,
      (who, lat, lon) => jsonl.push({ at, from: from(who), location: [Number(lat), Number(lon)] }),
    ],
    [/^text(:[^>]+)?> (.+)$/, (who, text) => jsonl.push({ at, from: from(who), text, by: "text" })],
    [
      /^late text (\S+)> (.+)$/,
      (writtenAt, text) => jsonl.push({ at, from: "hirer", text, writtenAt, by: "text" }),
    ],
    [
      /^edited(:[^>]+)?> (.+)$/,
      (who, text) => jsonl.push({ at, from: from(who), text, edited: true }),
    ],
    [
      /^sends(:[^>]+)?> (.+)$/,
      (who, unreadable) => jsonl.push({ at, from: from(who), unreadable }),
    ],
    [/^staff:(\w+) tap> (.+)$/, (duty, tap) => jsonl.push({ at, from: `duty:${duty}`, tap })],
    [/^unknown> (.+)$/, (text) => jsonl.push({ at, from: "unknown", text })],
    [/^staff:(\w+)> (.+)$/, (duty, text) => jsonl.push({ at, from: `duty:${duty}`, text })],
    [
      /^staff:(\w+) (take|phone|heard|keep|came)(?: #(\d+))?$/,
      (duty, act, n) => jsonl.push({ at, duty, do: act, ...numbered(n) }),
    ],
    [
      /^staff:(\w+) roadside(?: #(\d+))?(?: (?!\d\d:)(\S+))?(?: (\d\d:\d\d))?$/,
      (duty, n, reference, to) =>
        jsonl.push({
          at,
          duty,
          do: "roadside",
          ...numbered(n),
          ...(reference ? { reference } : {}),
          ...(to ? { to } : {}),
        }),
    ],
    [
      /^staff:(\w+) (pass|promise)(?: #(\d+))? (.+)$/,
      (duty, act, n, to) => jsonl.push({ at, duty, do: act, to, ...numbered(n) }),
    ],
    [
      /^staff:(\w+) done(?: #(\d+))? (\S+)(?: to (\d+))?$/,
      (duty, n, outcome, to) =>
        jsonl.push({
          at,
          duty,
          do: "done",
          outcome,
          ...numbered(n),
          ...(to ? { to } : {}),
        }),
    ],
    [
      /^staff:(\w+) note(?: #(\d+))? (.+)$/,
      (duty, n, note) => jsonl.push({ at, duty, do: "note", note, ...numbered(n) }),
    ],
    [
      /^staff:(\w+) (pickup|return)-record(.*)$/,
      (duty, which, pairs) =>
        jsonl.push({ at, duty, do: `${which}-record`, reading: reading(pairs) }),
    ],
    [
      /^staff:(\w+) clear #(\d+) (.+)$/,
      (duty, n, note) => jsonl.push({ at, duty, do: "clear", fault: Number(n), note }),
    ],
    [/^staff:(\w+) release (.+)$/, (duty, note) => jsonl.push({ at, duty, do: "release", note })],
  ];
  const reading = (pairs: string) =>
    Object.fromEntries(
      pairs
        .trim()
        .split(/\s+/)
        .filter(Boolean)
        .map((p) => p.split("="))
        .map(([k = "", v = ""]) => [
          k === "odometer" ? "odometerKm" : k,
          k === "oil" ? v : Number(v),
        ]),
    );
  const numbered = (n: string | undefined) => (n ? { callout: Number(n) } : {});
  for (const [i, raw] of source.split("\n").entries()) {
    const line = raw.trim();
    if (line === "") continue;
    if (/^(bot:|alert:|hook>|change>)/.test(line)) {
      expected.push({ line: i + 1, text: line, since, at });
      continue;
    }
    const kind = kinds.find(([pattern]) => pattern.test(line));
    if (!kind) throw new Error(`line ${i + 1}: cannot read "${line}"`);
    const before = at;
    kind[1](...(kind[0].exec(line) ?? []).slice(1));
    since = at === before ? at : before;
  }
  /** A hire as the player reads it. */
  const told = ({ hire: h, people }: (typeof hires)[number]) => ({
    hire: {
      van: h["van"],
      vanType: h["type"],
      pickup: h["pickup"],
      return: h["return"],
      zone: h["zone"] ?? "Europe/London",
      region: h["region"],
      ...(h["lang"] ? { lang: h["lang"] } : {}),
    },
    ...(people ? { people } : {}),
  });
  const [first = { hire: {} }] = hires;
  const lines = jsonl.map((line) => {
    const next = hires[line["next"] as number];
    return next ? { at: line["at"], ...told(next) } : line;
  });
  return {
    title,
    jsonl: [{ ...told(first), ...(shifts ? { shifts } : {}) }, ...lines]
      .map((l) => JSON.stringify(l))
      .join("\n"),
    expected,
  };
}

/** An outgoing line as the script writes it. */
export function show(out: Out): string {
  if ("state" in out)
    return `change> ${out.callout} ${out.state}${out.with ? ` ${out.with}` : ""} ${out.severity}`;
  const who = out.to.startsWith("hirer:")
    ? `bot:${out.to.slice(6)}>`
    : out.to === "hook"
      ? "hook>"
      : `alert:${out.to.slice(5)}>`;
  const buttons = out.buttons ? ` [${out.buttons.join("] [")}]` : "";
  return `${who} ${out.text.replace(/\s*\n\s*/g, " / ")}${buttons}`;
}

/** Whether an outgoing line is what the script expects. */
export function fits(expected: string, actual: string): boolean {
  if (expected.startsWith("change>")) return expected === actual;
  const [head = "", ...rest] = expected.split("> ");
  if (!actual.startsWith(`${head}> `)) return false;
  let from = head.length + 2;
  for (const part of rest.join("> ").split(" … ")) {
    const wanted = part.replace(/^… |…$/g, "").trim();
    const found = actual.indexOf(wanted, from);
    if (found < 0) return false;
    from = found + wanted.length;
  }
  return true;
}
