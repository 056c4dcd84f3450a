/** The shape of outside.yaml: what we have no answer to, by subject, for matching only. Pure. */
import { z } from "zod";

export const OutsideFile = z.record(z.string().regex(/^[a-z-]+$/), z.array(z.string().trim().min(1)).min(1));
export type OutsideFile = z.infer<typeof OutsideFile>;
