/**
 * Conversation scripts, read by people and played by `talk`. One line each:
 *   # title, then why it matters          hire: van=… type=… pickup=… return=… zone=… region=… [lang=…]
 *   people: Ann, Ben                       at 2026-06-03T21:00+01:00        +10m (or +2h)
 *   hirer> words       hirer:Ben> words    tap> Label    photo> caption     place> 57.1, -4.2
 *   late 2026-06-03T14:10+01:00> words     unknown> words
 *   staff:Morag> words   staff:Morag take | pass Callum | promise 21:30 | done by-advice   [restart]
 * What comes out stands below what caused it, in order and complete; silence is checked too:
 *   bot:Ann> part … part        alert:Morag> part … part      hook> part       change> 1 with Morag stop
 * A text matches when its parts, joined by " … ", occur in it in that order.
 */
import type { Out } from "../../scripts/talk.js";
import { after, isoIn, readIso } from "../../src/calendar.js";

export type Script = { title: string; jsonl: string; expected: { line: number; text: string; at: string }[] };

/** Reads a script file. Throws with the line number on anything it does not know. */
export function parseScript(source: string): Script {
  const jsonl: unknown[] = [];
  const expected: Script["expected"] = [];
  let title = "";
  let hire: Record<string, string> = {};
  let people: string[] | undefined;
  let at = "";
  const zone = () => hire["zone"] ?? "Europe/London";
  for (const [i, raw] of source.split("\n").entries()) {
    const line = raw.trim();
    const n = i + 1;
    const m = (pattern: RegExp) => pattern.exec(line);
    let x: RegExpExecArray | null;
    if (line === "") continue;
    if (line.startsWith("#")) title ||= line.slice(1).trim();
    else if ((x = m(/^hire: (.+)$/))) hire = Object.fromEntries((x[1] ?? "").split(/\s+/).map((p) => p.split("=") as [string, string]));
    else if ((x = m(/^people: (.+)$/))) people = (x[1] ?? "").split(",").map((p) => p.trim());
    else if ((x = m(/^at (\S+)$/))) {
      at = isoIn(readIso(x[1] ?? ""), zone());
      jsonl.push({ at });
    } else if ((x = m(/^\+(\d+)([mh])$/))) {
      at = isoIn(after(readIso(at), Number(x[1]) * (x[2] === "h" ? 60 : 1)), zone());
      jsonl.push({ at });
    } else if (line === "[restart]") jsonl.push({ at, do: "restart" });
    else if ((x = m(/^late (\S+)> (.+)$/))) jsonl.push({ at, from: "hirer", text: x[2], writtenAt: x[1] });
    else if ((x = m(/^hirer(:[^>]+)?> (.+)$/))) jsonl.push({ at, from: `hirer${x[1] ?? ""}`, text: x[2] });
    else if ((x = m(/^tap(:[^>]+)?> (.+)$/))) jsonl.push({ at, from: `hirer${x[1] ?? ""}`, tap: x[2] });
    else if ((x = m(/^photo(:[^>]+)?>(.*)$/))) jsonl.push({ at, from: `hirer${x[1] ?? ""}`, photo: true, ...(x[2]?.trim() ? { text: x[2].trim() } : {}) });
    else if ((x = m(/^place(:[^>]+)?> (-?[\d.]+), (-?[\d.]+)$/))) jsonl.push({ at, from: `hirer${x[1] ?? ""}`, location: [Number(x[2]), Number(x[3])] });
    else if ((x = m(/^unknown> (.+)$/))) jsonl.push({ at, from: "unknown", text: x[1] });
    else if ((x = m(/^staff:(\w+)> (.+)$/))) jsonl.push({ at, from: `duty:${x[1]}`, text: x[2] });
    else if ((x = m(/^staff:(\w+) (take|pass|promise|done|note)(?: #(\d+))?(?: (.+))?$/)))
      jsonl.push({
        at, duty: x[1], do: x[2], ...(x[3] ? { callout: Number(x[3]) } : {}),
        ...(x[4] ? (x[2] === "done" ? { outcome: x[4] } : x[2] === "note" ? { note: x[4] } : { to: x[4] }) : {}),
      });
    else if (/^(bot:|alert:|hook>|change>)/.test(line)) expected.push({ line: n, text: line, at });
    else throw new Error(`line ${n}: cannot read "${line}"`);
  }
  const { van, type, pickup, return: back, region, lang } = hire;
  const head = { hire: { van, vanType: type, pickup, return: back, zone: zone(), region, ...(lang ? { lang } : {}) }, ...(people ? { people } : {}) };
  return { title, jsonl: [head, ...jsonl].map((l) => JSON.stringify(l)).join("\n"), expected };
}

/** An outgoing line as the script writes it. */
export function show(out: Out): string {
  if ("state" in out) return `change> ${out.callout} ${out.state}${out.with ? ` ${out.with}` : ""} ${out.severity}`;
  const who = out.to.startsWith("hirer:") ? `bot:${out.to.slice(6)}>` : out.to === "hook" ? "hook>" : `alert:${out.to.slice(5)}>`;
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
