/** Passwords of the desk: kept as scrypt hashes, compared in constant time, one at a time. */
import { randomBytes, type ScryptOptions, scrypt, timingSafeEqual } from "node:crypto";
import { isHash, readHash, type ScryptHash } from "../password.js";

/**
 * N 2^14, r 8, p 5: one of the settings of equal strength that OWASP's Password Storage Cheat Sheet names as
 * the least for scrypt (2^17/8/1 … 2^13/8/10). This one takes 16 MB, which a small machine has.
 */
const strength = { ln: 14, r: 8, p: 5 };

/** Whether a hash is weaker than those made now. */
export const isWeaker = (text: string): boolean => {
  const of = readHash(text);
  return !of || 2 ** of.ln * of.p < 2 ** strength.ln * strength.p;
};

// One after the other: many at once would take the machine's memory from what is urgent.
let turn: Promise<unknown> = Promise.resolve();
function derived(password: string, { ln, r, p, salt }: Omit<ScryptHash, "hash">): Promise<Buffer> {
  const options: ScryptOptions = { N: 2 ** ln, r, p, maxmem: 256 * 2 ** ln * r };
  const work = () =>
    new Promise<Buffer>((done, fail) =>
      scrypt(password.normalize("NFKC"), salt, 32, options, (error, key) =>
        error ? fail(error) : done(key),
      ),
    );
  const mine = turn.then(work, work);
  turn = mine.catch(() => {});
  return mine;
}

const bare = (bytes: Buffer) => bytes.toString("base64").replace(/=+$/, "");

const phcOf = (salt: Buffer, hash: Buffer): string => {
  const { ln, r, p } = strength;
  return `$scrypt$ln=${ln},r=${r},p=${p}$${bare(salt)}$${bare(hash)}`;
};

/** What nobody's password fits, so that a name without an account takes as long to refuse. */
export const nobodys = phcOf(Buffer.alloc(16), Buffer.alloc(32));

/** A password's hash as a PHC string; one that is a hash already stays as it is. */
export async function hashPassword(password: string, salt = randomBytes(16)): Promise<string> {
  if (isHash(password)) return password;
  return phcOf(salt, await derived(password, { ...strength, salt }));
}

/** Whether a password fits a hash; false for anything malformed. */
export async function passwordFits(password: string, hash: string): Promise<boolean> {
  const of = readHash(hash);
  if (!of || of.ln > 20 || of.ln < 1) return false;
  const made = await derived(password, of);
  return of.hash.length === made.length && timingSafeEqual(of.hash, made);
}

const letters = "abcdefghjkmnpqrstuvwxyz23456789";
/** A password to hand over: 16 letters and digits that are not mistaken for each other, 79 random bits. */
export function newPassword(): string {
  const out: string[] = [];
  while (out.length < 16) {
    const byte = randomBytes(1)[0] ?? 255;
    // A byte that would make some letters likelier than others is thrown away.
    if (byte < 256 - (256 % letters.length)) out.push(letters[byte % letters.length] ?? "");
  }
  return out.join("").replace(/(.{4})(?=.)/g, "$1-");
}
