/** Seconds to tap a tablet. Source: tablet gestures, Applied Ergonomics 2016, doi:10.1016/j.apergo.2016.06.004 (0.57 s, SD 0.19). */
const TAP_S = 0.57;
/** Seconds to make up one's mind, the keystroke-level model's operator M. Source: Card, Moran & Newell, CACM 23, 1980. */
const DECIDE_S = 1.35;
/** Eyes from floor to tablet and back: two moves of 0.4 s, the model's operator H, used for a gaze by our assumption. */
const LOOK_S = 0.8;
/** Finding the child's place on the tablet: our assumption. */
const FIND_S = 0.5;
/** The part of the watching, and of the gap between two sets, that a judge can spend head down: our assumption. */
const HEAD_DOWN_WATCHING = 0.2;
const HEAD_DOWN_IN_GAP = 0.9;
/** The part of the cells that need an entry where a judge marks by exception: our assumption. */
const EXCEPTION_SHARE = 0.2;
/** Entries a minute above which the plan is warned about, and above which the chief must override: our assumption. */
export const WARN_ABOVE = 8;
export const OVERRIDE_ABOVE = 12;

export interface LoadInput {
  /** Candidates that one judge watches at once. */
  candidates: number;
  /** Criteria marked for each of them. */
  criteria: number;
  /** Seconds of one set, call and reset included. */
  watchSeconds: number;
  /** Seconds between two sets. */
  gapSeconds: number;
  /** Part of the cells that need an entry, 0–1; by exception 0.2. With 1 every cell is marked and no closing key is pressed. */
  share?: number;
}

export interface ScoringLoad {
  /** Entries a minute that the floor asks of the judge. */
  demandPerMinute: number;
  neededSeconds: number;
  availableSeconds: number;
  /** Whether the entries of one set fit into its time. */
  fits: boolean;
  advice: "fine" | "warn" | "override";
}

/**
 * Can one judge mark this many candidates on this many criteria, set after set?
 *
 * Needed: 1.3 s to look and find each candidate touched, 1.92 s to decide and tap each entry, and as much again for the
 * closing key. As many candidates are touched as there are entries, at most all. Available: a fifth of the watching, nine
 * tenths of the gap. None of either gives no demand.
 *
 * Where it fails: times are averages of people at a desk, not standing in a hall; fault keys and second thoughts are extra.
 * @throws RangeError if a number is negative or not finite, or a set has no time at all.
 * @example
 * scoringLoad({ candidates: 2, criteria: 5, watchSeconds: 19, gapSeconds: 8 }).fits; // => true
 * scoringLoad({ candidates: 6, criteria: 5, watchSeconds: 19, gapSeconds: 8 }).advice; // => "override"
 */
export function scoringLoad(input: LoadInput): ScoringLoad {
  const { candidates, criteria, watchSeconds, gapSeconds, share = EXCEPTION_SHARE } = input;
  const given = [candidates, criteria, watchSeconds, gapSeconds, share];
  if (given.some((number) => !Number.isFinite(number) || number < 0))
    throw new RangeError(`scoringLoad: not a plan: ${JSON.stringify(input)}`);
  if (watchSeconds + gapSeconds === 0) throw new RangeError("scoringLoad: a set without time");

  const entries = candidates * criteria * share;
  const touched = Math.min(candidates, entries);
  const keys = share < 1 && entries > 0 ? entries + 1 : entries;
  const neededSeconds = (LOOK_S + FIND_S) * touched + (DECIDE_S + TAP_S) * keys;
  const availableSeconds = HEAD_DOWN_WATCHING * watchSeconds + HEAD_DOWN_IN_GAP * gapSeconds;
  const demandPerMinute = (60 * entries) / (watchSeconds + gapSeconds);
  return {
    demandPerMinute,
    neededSeconds,
    availableSeconds,
    fits: neededSeconds <= availableSeconds,
    advice:
      demandPerMinute > OVERRIDE_ABOVE
        ? "override"
        : demandPerMinute > WARN_ABOVE
          ? "warn"
          : "fine",
  };
}
