/** The trained model as bytes, keyed by the book and the settings it was trained with. Pure. */
import type { Book } from "../knowledge/book.js";
import { settings } from "./indexing.js";
import { build, type Matcher, type Taught } from "./matcher.js";

/** Raised when training or features change in a way that the settings do not show. */
const format = 1;
const keyOf = (book: Book): string => JSON.stringify({ format, hash: book.hash, settings });

/** A header of JSON, filled up to a multiple of 4 bytes, then bias and weights as 32-bit floats of this machine. */
export function toCache(matcher: Matcher): Uint8Array {
  const { classes, weights, bias } = matcher.base.model;
  const head = new TextEncoder().encode(
    JSON.stringify({ key: keyOf(matcher.book), classes, weights: weights.length }),
  );
  const room = Math.ceil((head.length + 4) / 4) * 4;
  const bytes = new Uint8Array(room + 4 * (bias.length + weights.length));
  new DataView(bytes.buffer).setUint32(0, head.length, true);
  bytes.set(head, 4);
  const floats = new Float32Array(bytes.buffer, room);
  floats.set(bias);
  floats.set(weights, bias.length);
  return bytes;
}

/** The matcher from its cache; undefined when the bytes are of another book, another version, or damaged. */
export function fromCache(
  book: Book,
  bytes: Uint8Array,
  taught: readonly Taught[] = [],
): Matcher | undefined {
  if (bytes.length < 4) return undefined;
  const own = bytes.slice();
  const length = new DataView(own.buffer).getUint32(0, true);
  const room = Math.ceil((length + 4) / 4) * 4;
  if (length > 100_000 || room > own.length) return undefined;
  const head = parsed(new TextDecoder().decode(own.subarray(4, 4 + length)));
  if (!head || head.key !== keyOf(book) || own.length !== room + 4 * (head.classes + head.weights))
    return undefined;
  const floats = new Float32Array(own.buffer, room);
  const model = {
    classes: head.classes,
    bias: floats.subarray(0, head.classes),
    weights: floats.subarray(head.classes),
  };
  return build(book, taught, model);
}

function parsed(text: string): { key: string; classes: number; weights: number } | undefined {
  try {
    const head: unknown = JSON.parse(text);
    if (typeof head !== "object" || head === null) return undefined;
    const { key, classes, weights } = head as Record<string, unknown>;
    return typeof key === "string" && typeof classes === "number" && typeof weights === "number"
      ? { key, classes, weights }
      : undefined;
  } catch {
    return undefined;
  }
}
