/** The pictures that the people of a hire sent by chat, whatever channel brought them. */
import { createHash } from "node:crypto";
import type { TripEvent } from "../../store/events.js";
import type { ChatPhoto } from "./view.js";

/** The id by which such a picture is sealed: always the same for the same file, and in the shape of our own. */
const sealedId = (lane: string, file: string): string =>
  createHash("sha256").update(`${lane} ${file}`).digest("base64url").slice(0, 22);

/** In order of sending. */
export const chatFiles = (events: readonly TripEvent[]): ChatPhoto[] =>
  events.flatMap(({ kind, lane, at, who, text, more: { file } }) =>
    kind === "in" && file?.kind.startsWith("image/")
      ? [
          {
            id: sealedId(lane, file.id),
            file: file.id,
            type: file.kind,
            at,
            who: who.replace(/^hirer:/, ""),
            caption: text,
          },
        ]
      : [],
  );
