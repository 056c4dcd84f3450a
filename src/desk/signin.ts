/** Signing in at the desk: passwords kept as scrypt hashes, compared in constant time. */
import { randomBytes, scryptSync, timingSafeEqual } from "node:crypto";

const prefix = "scrypt:";

/** "scrypt:<salt>:<hash>" of a password; one that is such a hash already stays as it is. */
export function hashPassword(password: string, salt = randomBytes(16)): string {
  if (password.startsWith(prefix)) return password;
  const hash = scryptSync(password.normalize("NFKC"), salt, 32).toString("base64url");
  return `${prefix}${salt.toString("base64url")}:${hash}`;
}

/** Whether a password fits a hash made by hashPassword; false for anything malformed. */
export function passwordFits(password: string, hash: string): boolean {
  const [, salt, wanted] = hash.split(":");
  if (!hash.startsWith(prefix) || !salt || !wanted) return false;
  const expected = Buffer.from(wanted, "base64url");
  const made = scryptSync(password.normalize("NFKC"), Buffer.from(salt, "base64url"), 32);
  return expected.length === made.length && timingSafeEqual(expected, made);
}
