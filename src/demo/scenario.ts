import * as z from "zod/mini";
import { RubricId } from "../belt-test/identity.ts";

const slug = z.string().check(z.regex(/^[a-z][a-z-]*$/));

/** How a simulated judge marks; everything in levels unless said. */
const Quirks = z.strictObject({
  /** Positive is severe: subtracted from what the judge sees. */
  severity: z._default(z.number(), 0),
  /** Standard deviation of one mark. */
  noise: z._default(z.number(), 0.45),
  /** Share of exceptions this judge notices; the others end as “rest meets”. */
  notices: z._default(z.number(), 0.8),
  /** How much one overall impression colours every criterion, 0–1. */
  halo: z._default(z.number(), 0),
  /** Severity gained from the first wave to the last. */
  drift: z._default(z.number(), 0),
  /** Pulls towards *Meets*: 1 uses the whole scale, 0 gives everybody the same. */
  range: z._default(z.number(), 1),
  /** Candidates this judge teaches, and by how much they are favoured. */
  ownStudents: z._default(z.array(z.int()), []),
  favour: z._default(z.number(), 0),
  /** Seconds from the end of a set to the last tap. */
  pace: z._default(z.number(), 6),
});
export type Quirks = z.infer<typeof Quirks>;

/** demo-data/scenario.json: an invented belt test, and how its invented people are. */
export const Scenario = z.strictObject({
  about: z.string(),
  title: z.string(),
  date: z.iso.date(),
  seed: z.int(),
  chief: z.strictObject({ id: slug, name: z.string() }),
  caller: z.strictObject({ id: slug, name: z.string() }),
  desk: z.strictObject({ id: slug, name: z.string() }),
  judges: z.array(
    z.strictObject({ id: slug, name: z.string(), about: z.string(), quirks: Quirks }),
  ),
  candidates: z.array(
    z.strictObject({
      number: z.int(),
      given: z.string(),
      family: z.string(),
      sounds: z.optional(z.string()),
      birthYear: z.int(),
      rubric: RubricId,
      wave: z.int(),
      /** How far above (or below) *Meets* this candidate performs, in levels. */
      ability: z.number(),
      /** Criteria or technique groups where this candidate is weaker or stronger than that, in levels. */
      habits: z._default(z.record(z.string(), z.number()), {}),
      presence: z._default(z.enum(["checked-in", "absent", "unfit"]), "checked-in"),
    }),
  ),
});
export type Scenario = z.infer<typeof Scenario>;
