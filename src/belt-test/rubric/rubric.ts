import * as z from "zod/mini";
import { COMBININGS } from "../../ratings/combinings.ts";
import { CriterionId, FaultId, ItemId, RubricId, SectionId } from "../identity.ts";

/** Words a person reads: never empty, never a page. */
const title = z.string().check(z.trim(), z.minLength(1), z.maxLength(120));
const sentence = z.string().check(z.trim(), z.minLength(1), z.maxLength(400));
const percent = z.number().check(z.gte(0), z.lte(100));
/** A weight is relative: only its ratio to its neighbours counts. */
const weight = z.number().check(z.gt(0), z.lte(1000));

/** A rank, with the belt's colour as data: the name is always shown beside it. */
export const Rank = z.strictObject({
  id: z.string().check(z.regex(/^[a-z0-9][a-z0-9-]{0,31}$/)),
  title,
  belt: z.strictObject({
    name: title,
    colour: z.string().check(z.regex(/^#[0-9a-fA-F]{6}$/)),
    /** A tag or tip of a second colour. */
    tip: z.optional(z.string().check(z.regex(/^#[0-9a-fA-F]{6}$/))),
  }),
});
export type Rank = z.infer<typeof Rank>;

/** One step of the scale; level 1 is the first. `points` is its worth, 0–100. */
export const Level = z.strictObject({ title, points: percent });
export type Level = z.infer<typeof Level>;

export const Criterion = z.strictObject({
  id: CriterionId,
  title,
  weight,
  /** What each level looks like, worst first; as many as the scale has levels. */
  descriptors: z.array(sentence).check(z.minLength(2), z.maxLength(7)),
});
export type Criterion = z.infer<typeof Criterion>;

/**
 * What kind of technique an item is: chooses the faults and cues that fit it.
 * `stance` to `form` are performed; `knowledge` and `etiquette` are asked or seen.
 */
export const TechniqueGroup = z.enum([
  "stance",
  "block",
  "strike",
  "kick",
  "self-defence",
  "combination",
  "form",
  "knowledge",
  "etiquette",
]);
export type TechniqueGroup = z.infer<typeof TechniqueGroup>;

export const Item = z.strictObject({
  id: ItemId,
  title,
  /** The Japanese (or other) name in Latin letters. */
  alias: z.optional(title),
  /** The same in its own script, where the school uses it. */
  script: z.optional(title),
  group: TechniqueGroup,
  weight: z._default(weight, 1),
  /** Counts in one set on one side; a form or an escape has 1. */
  counts: z._default(z.int().check(z.gte(1), z.lte(60)), 6),
  /**
   * `one`: no side is called. `each`: left and right are called and marked apart, and average.
   * `together`: both sides are called, and marked once, after the second.
   */
  sides: z._default(z.enum(["one", "each", "together"]), "one"),
  /** Criteria marked for this item; ids of the rubric's criteria. Empty in a checklist, whose items are done or not. */
  criteria: z._default(z.array(CriterionId), []),
  /** What the judge may recall to the eye; never read aloud during a test. */
  cues: z._default(z.array(sentence).check(z.maxLength(4)), []),
  /** Faults offered first on the judge's screen; ids of the fault library. Others of the same criterion follow. */
  faults: z._default(z.array(FaultId).check(z.maxLength(8)), []),
  /** Two people touch: the tap-and-stop rule is shown before the call. */
  partner: z._default(z.boolean(), false),
  /** Younger candidates are excused, never marked down. Years. */
  minimumAge: z.optional(z.int().check(z.gte(3), z.lte(80))),
  /** Must be seen, and reach `floor` (percent of the item), or there is no pass. */
  mustShow: z.optional(z.strictObject({ floor: percent })),
});
export type Item = z.infer<typeof Item>;

export const Section = z.strictObject({
  id: SectionId,
  title,
  weight,
  /** The least a candidate needs here, in percent; met at ≥, unrounded. */
  floor: z._default(percent, 0),
  /**
   * `line`: several candidates at once, by exception. `single`: one candidate (or pair) at a time, every criterion.
   * `checklist`: each item done or not done.
   */
  marking: z.enum(["line", "single", "checklist"]),
  /** One overall judgement per candidate and section: it never enters the score, it checks it. */
  overall: z._default(z.boolean(), false),
  /** Criteria marked once for the whole section; together they weigh as one further item. */
  onceASection: z.optional(
    z.strictObject({
      criteria: z.array(CriterionId).check(z.minLength(1)),
      weight: z._default(weight, 1),
    }),
  ),
  items: z.array(Item).check(z.minLength(1), z.maxLength(60)),
});
export type Section = z.infer<typeof Section>;

export const Side = z.enum(["left", "right"]);
export type Side = z.infer<typeof Side>;

export const PanelRule = z.strictObject({
  /** Judges who must have seen a cell; fewer opens a question. */
  quorum: z.int().check(z.gte(1), z.lte(15)),
  /** How the judges' marks of one cell become a panel mark. `drop-high-low` drops one each, by position after sorting. */
  combine: z.enum(COMBININGS),
});
export type PanelRule = z.infer<typeof PanelRule>;

export const Rubric = z.strictObject({
  $schema: z.optional(z.string()),
  id: RubricId,
  version: z.int().check(z.gte(1)),
  title,
  /** Who wrote it and what it rests on, for the reader of the file. */
  about: z.optional(z.string().check(z.maxLength(2000))),
  language: z._default(z.string().check(z.regex(/^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$/)), "en"),
  from: Rank,
  to: Rank,
  /** A junior's sheet carries no numbers. */
  audience: z.enum(["junior", "adult"]),
  scale: z.strictObject({
    levels: z.array(Level).check(z.minLength(2), z.maxLength(7)),
    /** The level that means “meets the standard of the rank tested”: the plumb line of every screen. */
    meetsLevel: z.int().check(z.gte(1)),
  }),
  criteria: z.array(Criterion).check(z.minLength(1), z.maxLength(8)),
  sections: z.array(Section).check(z.minLength(1), z.maxLength(16)),
  panel: PanelRule,
  disagreement: z.strictObject({
    /** Two judges this many levels apart on one cell are asked to talk. */
    levelGap: z.int().check(z.gte(1), z.lte(6)),
    /** A total this near the pass mark is looked at again, in percentage points. */
    borderlineBand: z.number().check(z.gte(0), z.lte(50)),
    /** A judge this many robust standard deviations from the others stands alone. */
    loneDissent: z._default(z.number().check(z.gt(0), z.lte(20)), 3.5),
  }),
  pass: z.strictObject({
    /** The least total, in percent, after rounding. */
    mark: percent,
    /** The total is rounded to a multiple of `to` percent. */
    rounding: z._default(
      z.strictObject({
        to: z.number().check(z.gt(0), z.lte(10)),
        mode: z.enum(["half-up", "half-even", "down"]),
      }),
      { to: 0.1, mode: "half-up" },
    ),
  }),
  retest: z.strictObject({
    waitDays: z.int().check(z.gte(0), z.lte(730)),
    /** `sections`: repeat what was missed, keep the rest. `whole`: everything again. */
    scope: z.enum(["sections", "whole"]),
    /** Kept sections lapse after this many months. */
    keptMonths: z.int().check(z.gte(0), z.lte(60)),
    /** Retests of one section before the whole test is taken again. */
    attempts: z.int().check(z.gte(1), z.lte(10)),
  }),
});
export type Rubric = z.infer<typeof Rubric>;

/** A checklist item has this one criterion, with two levels: 1 not done (0 %), 2 done (100 %). */
export const DONE = "done" as CriterionId;
export const CHECKLIST_LEVELS = 2;
