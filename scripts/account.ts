/** Makes a manager of a contact, or gives them a new password: npm run account -- CONTACT. With an SQLite file the service must be stopped. */
import { instantOf } from "../src/calendar.js";
import { hashPassword, newPassword } from "../src/desk/signin.js";
import { Fault } from "../src/faults.js";
import { bookOrExit } from "../src/knowledge/read.js";
import { openStore } from "../src/store/open.js";
import { changeAccount, makeAccount } from "../src/store/staff/accounts.js";
import { addTrace } from "../src/store/staff/trail.js";
import { databaseSettings, give } from "./database/settings.js";

async function main(): Promise<void> {
  const [contact = "", ...rest] = process.argv.slice(2);
  const { firm } = bookOrExit();
  const able = Object.keys(firm.contacts).filter((id) => firm.contacts[id]?.desk);
  if (rest.length > 0 || !able.includes(contact))
    throw new Fault("INPUT_WRONG", `usage: npm run account -- CONTACT, one of ${able.join(", ")}`);
  const { file, url } = databaseSettings();
  const now = instantOf(Date.now());
  const store = await openStore(url ?? file, now);
  try {
    const password = newPassword();
    const hash = await hashPassword(password);
    const account = { contact, role: "manager", hash, madeAt: now, madeBy: "command" } as const;
    if (!(await makeAccount(store.db, account)))
      await changeAccount(store.db, contact, { role: "manager", hash });
    await addTrace(store.db, {
      at: now,
      contact: "command",
      what: "accounts make manager",
      about: contact,
    });
    console.log(`${firm.contacts[contact]?.name} is a manager; password: ${password}`);
  } finally {
    await store.close();
  }
}

main().catch((error: unknown) =>
  give(error instanceof Fault ? error.message : "the account could not be made"),
);
