import * as z from "zod/mini";
import { GradingId } from "../../book/identity.ts";

/**
 * What one test leaves of its judges for the next: a file the chief examiner keeps. Judges are known by name, as they are from test to test; the file is read strictly.
 * Severity and sd in levels, positive = severe, as `severityToKeep` gives them.
 */
export const SeveritiesFile = z.strictObject({
  format: z.literal("evenhand-severities"),
  version: z.literal(1),
  grading: GradingId,
  date: z.iso.date(),
  judges: z
    .array(
      z.strictObject({
        name: z.string().check(z.trim(), z.minLength(1), z.maxLength(80)),
        severity: z.number().check(z.gte(-7), z.lte(7)),
        sd: z.number().check(z.gt(0), z.lte(7)),
      }),
    )
    .check(z.maxLength(99)),
});
export type SeveritiesFile = z.infer<typeof SeveritiesFile>;
