/** The staff hook: alerts go as signed JSON to the firm's own telephone or text provider. */
import type { Book } from "../../knowledge/book.js";
import type { FirmFile } from "../../knowledge/schema.js";
import { faultFields, type Log } from "../../log.js";
import type { Door } from "../door.js";
import { openPost, outsideIdOf, type PostParts } from "../post-out.js";
import { alertOf } from "./alert.js";

type HookParts = PostParts & {
  book: Book;
  log: Log;
  /** The firm as it holds now: contacts change at the desk. */
  firm(): Promise<FirmFile>;
  /** Where staff reach the desk, without a slash at the end. */
  publicUrl: string;
};

export function hookDoor(parts: HookParts): Door {
  const { book, log, publicUrl } = parts;
  const post = openPost(parts);
  return {
    channel: "hook",
    async send(send, key, lane) {
      const id = outsideIdOf(key);
      // An alert must not fail for want of a changed telephone number.
      const firm = await parts.firm().catch((error: unknown) => {
        log.warn("contacts not read", { lane, send: key, ...faultFields(error) });
        return book.firm;
      });
      return post(id, alertOf(send, id, lane, { book, firm, publicUrl }));
    },
  };
}
