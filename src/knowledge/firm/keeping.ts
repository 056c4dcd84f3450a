/** knowledge/keeping.yaml: what is kept of a hire and of staff at the desk, why, and how long. Pure. */
import { z } from "zod";
import { line } from "../shapes.js";

const Term = z.strictObject({ days: z.int().min(1).max(36_525), what: line, why: line });

export const KeepingFile = z
  .strictObject({
    ...{ link: Term, talk: Term, photos: Term, hire: Term, stranger: Term },
    ...{ signIns: Term, trail: Term },
  })
  .refine(({ link, talk }) => link.days <= talk.days, {
    path: ["link", "days"],
    message: "links must not outlive the talk that they open: at most the days of talk",
  })
  .refine(({ talk, photos, hire }) => talk.days <= hire.days && photos.days <= hire.days, {
    path: ["hire", "days"],
    message: "talk and photos belong to the hire: at least as many days as theirs",
  });
export type KeepingFile = z.output<typeof KeepingFile>;
/** What goes of a hire at one time. */
export type Keeping = "talk" | "photos" | "hire";

const nothing = { days: 1, what: "", why: "" };
export const noKeeping: KeepingFile = {
  link: nothing,
  talk: nothing,
  photos: nothing,
  hire: nothing,
  stranger: nothing,
  signIns: nothing,
  trail: nothing,
};
/** The terms of what is kept of hirers, in the order of their ends. */
export const ofHirers = ["link", "talk", "photos", "hire"] as const;
