/** What the API for booking programs answers, as schemas: they check nothing here, they describe it. */
import { z } from "zod";
import { HireContent, reference } from "../bookings/content.js";

export const ClashAnswer = z
  .strictObject({
    hire: z.string().describe("Id of the other hire"),
    surname: z.string(),
    pickup: z.iso.datetime({ offset: true }),
    return: z.iso.datetime({ offset: true }),
    how: z.enum(["overlaps", "too-close"]),
  })
  .meta({
    id: "Clash",
    description: "Another hire of the same van that this one meets. It is kept all the same.",
  });

export const PushAnswer = z
  .strictObject({
    reference,
    hire: z.string().describe("Id of the hire"),
    result: z
      .enum(["made", "changed", "same"])
      .describe("same: this content was pushed before, and nothing was done"),
    clashes: z.array(ClashAnswer),
    links: z
      .array(z.strictObject({ name: z.string(), url: z.url() }))
      .describe("Of a hire that was made: the page of each person. Told once, never again"),
  })
  .meta({ id: "Pushed" });

export const HireAnswer = z
  .strictObject({
    reference,
    hire: z.string(),
    content: HireContent.describe("As it holds now, with what staff changed"),
    stage: z.enum(["waiting", "to-come", "on-the-road", "back", "cancelled"]),
  })
  .meta({ id: "HireNow" });

/** RFC 9457. */
export const ProblemAnswer = z
  .strictObject({
    type: z.literal("about:blank"),
    title: z.string(),
    status: z.int(),
    detail: z.string(),
    problems: z
      .array(z.strictObject({ field: z.string(), wrong: z.string(), right: z.string() }))
      .optional(),
  })
  .meta({ id: "Problem", description: "What is wrong, where, and what would be right (RFC 9457)" });
