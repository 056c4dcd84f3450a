/** What a password of the desk is: how long, and how its hash is written. Settings and the desk read the same. Pure. */

/** Letters of a password, UTF-16 units. More are never read. */
export const passwordLetters = { least: 10, most: 200 };

/** An scrypt hash with its costs: N is 2^ln (RFC 7914). */
export type ScryptHash = { ln: number; r: number; p: number; salt: Buffer; hash: Buffer };

const phc =
  /^\$scrypt\$ln=(\d{1,2}),r=(\d{1,2}),p=(\d{1,2})\$([A-Za-z0-9+/]{16,})\$([A-Za-z0-9+/]{40,})$/;
/** As settings had it before: N 2^14, r 8, p 1. */
const plainer = /^scrypt:([\w-]{20,}):([\w-]{40,})$/;

/** Reads a hash as a PHC string or of the former kind; undefined for any other text. */
export function readHash(text: string): ScryptHash | undefined {
  const [, ln, r, p, salt, hash] = phc.exec(text) ?? [];
  if (salt && hash)
    return {
      ln: Number(ln),
      r: Number(r),
      p: Number(p),
      salt: Buffer.from(salt, "base64"),
      hash: Buffer.from(hash, "base64"),
    };
  const [, oldSalt, oldHash] = plainer.exec(text) ?? [];
  if (oldSalt && oldHash)
    return {
      ln: 14,
      r: 8,
      p: 1,
      salt: Buffer.from(oldSalt, "base64url"),
      hash: Buffer.from(oldHash, "base64url"),
    };
  return undefined;
}

/** Whether a text is a hash that `readHash` reads. */
export const isHash = (text: string): boolean => readHash(text) !== undefined;
