/** The made-up test: four sections of five items, each item marked by five criteria. Everything in levels of a scale 0–4. */
export const SECTIONS = 4;
export const ITEMS = 5;
export const CRITERIA = 5;
export const SECTION_CELLS = ITEMS * CRITERIA;
export const CELLS = SECTIONS * SECTION_CELLS;
export const SECTION_WEIGHT = [0.3, 0.3, 0.25, 0.15] as const;
export const CRITERION_WEIGHT = [0.25, 0.15, 0.2, 0.25, 0.15] as const;
export const LINE = 6;

/** About 85 % truly pass. */
export const PASS_AT = 1.81;
export const FLOOR_AT = 1.41;

/** Where true performances lie, and how they spread (standard deviations). */
export const TRUE = {
  mean: 2.5,
  candidate: 0.6,
  candidateSection: 0.25,
  candidateCriterion: 0.2,
  item: 0.3,
  criterion: 0.2,
} as const;

/** What judges add: standard deviations, and the most that a judge drifts from the first candidate to the last. */
export const JUDGE = { severity: 0.3, criterion: 0.15, halo: 0.2, drift: 0.3, error: 0.5 } as const;

/** How well severities are known when anchors or earlier tests speak of them. */
export const KNOWN_SD = 0.15;

/** What a judge's impression becomes on the tablet. */
export type Instrument =
  /** 0 to 4 in half steps, every cell marked. */
  | { kind: "half-steps" }
  /** Four whole levels; an impression other than Meets (3) is noticed with this probability, and else becomes a rest mark. */
  | { kind: "four-levels"; noticing: number };

export const HALF_STEPS: Instrument = { kind: "half-steps" };
export const MEETS = 3;
/** One step of the scale 0–4, in levels of the four. */
export const FOUR_LEVELS_APART = 0.75;
export const fourLevels = (onScale: number): number => 1 + FOUR_LEVELS_APART * onScale;

/** Weight of each cell in its section, and in the whole. Cells run by section, item, criterion. */
export const CELL_IN_SECTION = Float64Array.from(
  { length: CELLS },
  (_, cell) => (CRITERION_WEIGHT[cell % CRITERIA] as number) / ITEMS,
);
export const CELL_IN_WHOLE = CELL_IN_SECTION.map(
  (weight, cell) => weight * (SECTION_WEIGHT[Math.floor(cell / SECTION_CELLS)] as number),
);
