/**
 * The one error class and the catalogue of its codes. Expected outcomes are values; a Fault is for
 * what nobody planned for. DEVELOPERS.md ("Faults") lists the same codes; a test holds both together.
 */

/** What can go wrong, by code, in the words that DEVELOPERS.md explains. */
export const faultCodes = {
  SETTING_WRONG: "a setting in the environment is missing or wrong",
  KNOWLEDGE_WRONG: "the knowledge base does not hold together",
  TIME_WRONG: "a date, local time or zone cannot be read",
  INPUT_WRONG: "what came in cannot be read",
  STORE_BUSY: "another process has the database file",
  STORE_WRONG: "the database cannot be opened, written or read",
  SEND_UNREACHABLE: "a channel gave no answer",
} as const;

type FaultCode = keyof typeof faultCodes;

/**
 * An unexpected failure: `message` gives value, place and what was allowed. `cause`: the error behind it; its
 * message may hold what somebody wrote, so of it only name, code and frames are ever shown (log.ts).
 */
export class Fault extends Error {
  readonly code: FaultCode;

  constructor(code: FaultCode, message: string, options?: { cause: unknown }) {
    super(message, options);
    this.name = "Fault";
    this.code = code;
  }
}
