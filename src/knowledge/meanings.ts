/** The shape of meanings.yaml: words that lead to the same thing, for matching only. Pure. */
import { z } from "zod";

const form = z.union([z.string().trim().min(1), z.number()]).transform(String);

/** A meaning and the words and short phrases that carry it. */
export const MeaningsFile = z.record(
  z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/),
  z.array(form).min(1),
);
export type MeaningsFile = z.infer<typeof MeaningsFile>;
