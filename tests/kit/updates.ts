/** Updates of the Bot API made up from its published description: right in shape, anything in content. */
import fc from "fast-check";
import { description } from "./fake-bot-api.js";

/** Text as no keyboard writes it, and as all of them do. */
export const hostileText = fc.oneof(
  { weight: 3, arbitrary: fc.string({ unit: "binary", maxLength: 60 }) },
  { weight: 2, arbitrary: fc.string({ unit: "grapheme", maxLength: 60 }) },
  {
    weight: 3,
    arbitrary: fc.constantFrom(
      "there is smoke in the van",
      "red light like an oil can",
      "92,340 miles, between the marks",
      "/start",
      "/start AAAAAAAAAAAAAAAAAAAAAA",
      "57.48, -4.22",
      "__proto__",
      "constructor",
      "take:h1:1",
      "#AAAA",
      "\0",
      "\ud800",
      "\u202e\u2066",
      "' or 1=1 --",
      "%00%",
      "",
    ),
  },
  { weight: 1, arbitrary: fc.nat(20_000).map((n) => "gas? ".repeat(n).slice(0, 60_000)) },
);

const chat = fc.constantFrom(100, 101, 900, -5, 2 ** 52);
const small = fc.oneof(fc.integer(), fc.constantFrom(0, 1, 2 ** 31, 2 ** 53 - 1));

/** A value of a type; what need not be there grows rarer with depth, so that every value ends. */
function anyOf(type: string, depth: number): fc.Arbitrary<unknown> {
  if (type.startsWith("Array of "))
    return fc.array(anyOf(type.slice(9), depth + 1), { maxLength: depth > 2 ? 1 : 3 });
  if (type === "Integer") return small;
  if (type === "Float") return fc.oneof(fc.double(), fc.float({ min: -180, max: 180 }));
  if (type === "Boolean") return fc.boolean();
  if (type === "True") return fc.constant(true);
  const shape = description?.types[type];
  if (!shape) return hostileText;
  if (shape.subtypes?.length)
    return fc.constantFrom(...shape.subtypes).chain((one) => anyOf(one, depth));
  const optional = shape.fields.filter((f) => !f.required);
  const most = depth === 0 ? 2 : depth > 3 ? 0 : 3;
  return fc.subarray(optional, { maxLength: Math.min(most, optional.length) }).chain((some) => {
    const fields = shape.fields.filter((f) => f.required || some.includes(f));
    return fc.record(
      Object.fromEntries(
        fields.map((f) => [f.name, fc.constantFrom(...f.types).chain((t) => anyOf(t, depth + 1))]),
      ),
    );
  });
}

const message = fc
  .tuple(anyOf("Message", 1), chat, fc.constantFrom("private", "group"), fc.nat(2 ** 31))
  .map(([one, id, type, date]) => ({ ...(one as object), chat: { id, type }, date }));

/** An update; most often a message or a tap, since all else is set aside. */
export const update: fc.Arbitrary<Record<string, unknown>> = fc.oneof(
  { weight: 1, arbitrary: anyOf("Update", 0) as fc.Arbitrary<Record<string, unknown>> },
  {
    weight: 3,
    arbitrary: fc.record({ update_id: fc.nat(), message }) as fc.Arbitrary<Record<string, unknown>>,
  },
  { weight: 1, arbitrary: fc.record({ update_id: fc.nat(), edited_message: message }) },
  {
    weight: 1,
    arbitrary: fc.record({
      update_id: fc.nat(),
      callback_query: fc.record({
        id: hostileText,
        from: fc.record({ id: chat, is_bot: fc.boolean(), first_name: hostileText }),
        chat_instance: hostileText,
        data: hostileText,
      }),
    }),
  },
);
