/** Taps as Telegram carries them: at most 64 bytes (Bot API, InlineKeyboardButton.callback_data). */
import { createHash } from "node:crypto";

const mostBytes = 64;

/** A tap as callback data: itself where it fits, else "#" and a hash by which it is found again. */
export function carried(tap: string): string {
  if (Buffer.byteLength(tap) <= mostBytes && !tap.startsWith("#") && tap !== "") return tap;
  return `#${createHash("sha256").update(tap).digest("base64url")}`;
}

/** Whether callback data stands for a tap that must be looked up. */
export const isShortened = (data: string): boolean => data.startsWith("#");
