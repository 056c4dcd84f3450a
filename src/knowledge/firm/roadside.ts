/** Roadside assistance among the firm's contacts. Pure. */
import type { Contact } from "./roster.js";

/** Undefined where the firm has none. */
export const roadsideOf = ({
  contacts,
}: {
  contacts: Readonly<Record<string, Contact>>;
}): Contact | undefined => Object.values(contacts).find(({ kind }) => kind === "roadside");
