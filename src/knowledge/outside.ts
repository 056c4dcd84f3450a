/** The shapes of outside.yaml (what we have no answer to, by subject) and background.yaml; for matching only. Pure. */
import { z } from "zod";
import { line } from "./shapes.js";

export const OutsideFile = z.record(z.string().regex(/^[a-z-]+$/), z.array(line).min(1));
export type OutsideFile = z.infer<typeof OutsideFile>;

/** What people tell around a question. */
export const BackgroundFile = z.array(line).min(1);
