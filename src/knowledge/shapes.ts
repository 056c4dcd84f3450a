/** What the shapes of all files under knowledge/ are made of. Pure. */
import { z } from "zod";

export const line = z.string().trim().min(1);
export const id = z
  .string()
  .regex(/^[a-z0-9]+(-[a-z0-9]+)*$/, "lower-case words joined by hyphens");
export const pos = z.number().positive();
