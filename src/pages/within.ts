/** Requests that are given up after a time, on phones of five years too (no AbortSignal.timeout there). */
export function fetchWithin(ms: number, address: string, init: RequestInit): Promise<Response> {
  const giveUp = new AbortController();
  // Left running when the answer begins: its body is given up by it as well.
  setTimeout(() => giveUp.abort(), ms);
  return fetch(address, { ...init, signal: giveUp.signal });
}
