/** Requests that are given up after a time, on phones of five years too (no AbortSignal.timeout there). */

/** For a photo: as long as the service reads one request (`requestTimeout` of Node's http). 8 MB need 224 kbit/s. */
export const photoMs = 300_000;

/** `ms`: after so long it is given up, as one that never answered. */
export function fetchWithin(ms: number, address: string, init: RequestInit): Promise<Response> {
  const giveUp = new AbortController();
  // Left running when the answer begins: its body is given up by it as well.
  setTimeout(() => giveUp.abort(), ms);
  return fetch(address, { ...init, signal: giveUp.signal });
}
