/** The pictures that the people of a hire sent by chat, whatever channel brought them. */
import { createHash } from "node:crypto";
import type { Instant } from "../../calendar.js";
import type { PhotoRow } from "../../store/care/records.js";
import type { TripEvent } from "../../store/events.js";
import type { ChatPhoto } from "./view.js";

/** The id by which such a picture is sealed: always the same for the same file, and in the shape of our own. */
const sealedId = (lane: string, file: string): string =>
  createHash("sha256").update(`${lane} ${file}`).digest("base64url").slice(0, 22);

/** In order of sending. */
export const chatFiles = (events: readonly TripEvent[]): (ChatPhoto & { file: string })[] =>
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

/** Those that were sent, and those that are sealed with a record though the talk with them is no longer kept. */
export const withSealed = (
  sent: readonly ChatPhoto[],
  photos: readonly PhotoRow[],
): readonly ChatPhoto[] => [
  ...sent,
  ...photos
    .filter((p) => p.side === "chat" && !sent.some(({ id }) => id === p.id))
    .map(({ id, type, received_at }) => ({
      ...{ id, type, at: received_at as Instant, who: "a hirer" },
      caption: "sealed with the record; the talk is no longer kept",
    })),
];
