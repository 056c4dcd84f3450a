/** The message gateway out: each message as signed JSON to the firm's own text provider. */
import { cut } from "../cut.js";
import type { Door } from "../door.js";
import { openPost, outsideIdOf, type PostParts } from "../post-out.js";
import { asText, type Paper } from "./render.js";

/** Letters of ten joined text messages: 153 each (3GPP TS 23.040, 9.2.3.24.1, with the alphabet of TS 23.038). */
const partLetters = 1_530;

/** The JSON that the gateway posts; README.md tells what each field is for. */
type TextOut = {
  type: "message";
  id: string;
  /** E.164, as it came in. */
  to: string;
  /** The whole message. */
  text: string;
  /** The same, cut at blank lines, line ends or spaces, for providers with a limit. */
  parts: string[];
  /** About life, or a van that must not move: before everything else. */
  safety: boolean;
};

export function gatewayDoor(parts: PostParts & Paper): Door {
  const post = openPost(parts);
  return {
    channel: "gateway",
    send({ message, to, safety }, key) {
      const id = outsideIdOf(key);
      const text = asText(message, parts);
      const body: TextOut = {
        type: "message",
        id,
        to: to.to,
        text,
        parts: cut(text, partLetters),
        safety,
      };
      return post(id, body);
    },
  };
}
