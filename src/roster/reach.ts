/** Where a contact of the firm can be reached now, and a message on all of these ways. Pure. */
import type { FirmFile } from "../knowledge/schema.js";
import type { Address, Message, Send } from "../post.js";

/** The contacts now signed in at the desk, and where else staff can be reached. */
export type StaffReach = {
  atDesk: string[];
  telegram: Record<string, string>;
  hook: boolean;
};

/** Contact id → Telegram chat: the environment's, unless the firm's file or the desk names another, or none. */
export const chatsOf = (
  firm: FirmFile,
  environment: Readonly<Record<string, string>>,
): Record<string, string> =>
  Object.fromEntries(
    Object.entries({
      ...environment,
      ...Object.fromEntries(
        Object.entries(firm.contacts).flatMap(([id, c]) =>
          c.telegram === undefined ? [] : [[id, c.telegram]],
        ),
      ),
    }).filter(([, chat]) => chat !== ""),
  );

/** A contact's name; what is no contact's id is a name already. */
export const nameIn = (firm: Pick<FirmFile, "contacts">, id: string): string =>
  firm.contacts[id]?.name ?? id;

/** Every way to a contact of staff; none for roadside assistance: hirers ring it. */
export function addressesOf(firm: FirmFile, reach: StaffReach, id: string): Address[] {
  const contact = firm.contacts[id];
  if (contact?.kind !== "staff") return [];
  const chat = reach.telegram[id];
  return [
    ...(contact.desk && reach.atDesk.includes(id) ? [{ channel: "desk", to: id } as const] : []),
    ...(chat ? [{ channel: "telegram", to: chat } as const] : []),
    ...(contact.hook && reach.hook ? [{ channel: "hook", to: id } as const] : []),
  ];
}

/** A message to a contact on every way that there is now. */
export function sendsTo(
  firm: FirmFile,
  reach: StaffReach,
  id: string,
  message: Message,
  marks: Pick<Send, "safety" | "callout" | "severity" | "ring" | "about">,
): Send[] {
  return addressesOf(firm, reach, id).map((to) => ({
    to,
    who: to.channel === "hook" ? "hook" : `duty:${nameIn(firm, id)}`,
    contact: id,
    message,
    ...marks,
  }));
}
