/** The staff hook: alerts go as signed JSON to the firm's own telephone or text provider. */
import type { Book } from "../../knowledge/book.js";
import type { Door } from "../door.js";
import { openPost, outsideIdOf, type PostParts } from "../post-out.js";
import { alertOf } from "./alert.js";

/** `publicUrl`: where staff reach the desk, without a slash at the end. */
export function hookDoor(parts: PostParts & { book: Book; publicUrl: string }): Door {
  const post = openPost(parts);
  return {
    channel: "hook",
    send(send, key, lane) {
      const id = outsideIdOf(key);
      return post(id, alertOf(send, id, lane, parts.book, parts.publicUrl));
    },
  };
}
