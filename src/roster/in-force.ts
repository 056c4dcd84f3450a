/** The firm as it holds now: its file, with what was changed at the desk. Pure. */
import type { ContactChange, Roster } from "../knowledge/firm/roster.js";
import type { FirmFile } from "../knowledge/schema.js";

/** What was changed at the desk since the firm's file. Version 0: nothing, the file holds. */
export type FirmChanges = {
  version: number;
  roster?: Roster;
  contacts: Record<string, ContactChange>;
};

/** The firm with the changes. A contact that the file no longer has stays away. */
export function inForce(firm: FirmFile, changes: FirmChanges): FirmFile {
  const contacts = Object.entries(firm.contacts).map(
    ([id, contact]) => [id, { ...contact, ...changes.contacts[id] }] as const,
  );
  return {
    ...firm,
    contacts: Object.fromEntries(contacts),
    roster: changes.roster ?? firm.roster,
  };
}
