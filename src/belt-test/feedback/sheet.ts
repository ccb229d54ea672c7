import type { ItemId, SectionId } from "../identity.ts";
import type { Computed } from "../kinds/decision.ts";
import type { FaultLibrary } from "../rubric/fault-library.ts";
import type { Rank, Rubric } from "../rubric/rubric.ts";
import type { Mark } from "../scorebook/cell.ts";
import type { FaultsSeen } from "../scorebook/marks.ts";
import { nextLines, praiseLines } from "./choices.ts";
import { evidence } from "./evidence.ts";
import type { Line, LineContext, RankedLine } from "./line.ts";
import { type ProfilePoint, profile } from "./profile.ts";
import { type RetestPart, retestPart } from "./retest-part.ts";

/** More than two of either is not read. Source for few and concrete: Hattie & Timperley 2007, doi:10.3102/003465430298487; the number is ours. */
const MOST_LINES = 2;

/** A second thing to practise is said if it costs at least this part of what the first costs: our choice. */
const SECOND_MATTERS = 0.25;

export interface SheetInput {
  rubric: Rubric;
  /** Those that count for the verdict. */
  marks: readonly Mark[];
  faults: readonly FaultsSeen[];
  /** Items this candidate does not do: the sheet is silent about them. */
  excused: readonly ItemId[];
  result: Computed | "withdrawn" | "absent";
  /** The sections that count for this candidate. */
  sections: readonly SectionId[];
  /** The sections to show again, as the chief issued them; of no concern unless `result` is "retest". */
  repeat: readonly SectionId[];
  /** ISO date of the test, which the wait is counted from. */
  gradedOn: string;
  library: FaultLibrary;
  /** The keys of the lines that the chief chose instead of the computed ones. */
  chosen?:
    | { strong?: readonly string[] | undefined; next?: readonly string[] | undefined }
    | undefined;
}

interface SheetBody {
  result: SheetInput["result"];
  from: Pick<Rank, "title" | "belt">;
  to: Pick<Rank, "title" | "belt">;
  /** ISO date of the test. */
  gradedOn: string;
  /** Whether anything at *Meets* or above, and anything below it, was seen at all, whatever lines were chosen. */
  found: { good: boolean; short: boolean };
  /** What was good, at most two lines. Empty where nothing good was seen, or the chief wants none. */
  strong: readonly Line[];
  /** What to practise next, at most two lines. Empty where nothing is left to say, or the chief wants none. */
  next: readonly Line[];
  /** One thing to do at home: the practice of the first line that has one which the retest does not name already. */
  task: string | null;
  retest: RetestPart | null;
}
/** A child's sheet. It has no place for a number. */
export type JuniorSheet = SheetBody & { audience: "junior" };
export type AdultSheet = SheetBody & { audience: "adult"; profile: readonly ProfilePoint[] };
export type Sheet = JuniorSheet | AdultSheet;

/**
 * What does a candidate's page say?
 *
 * What was good: up to two lines, first those where a judge tapped the top level and the panel mark, by the rubric's own rule, is above *Meets*;
 * where there are none, what met the standard, then what was done; about two different things where there are two.
 * What is next: one or two things below *Meets*, a technique before a checklist and the costliest first, with the cue of
 * the fault seen most; for a retest, of the sections to repeat. Where nothing was below, one thing that could still grow.
 * Somebody who withdrew or was absent is given nothing to practise.
 *
 * Every line carries the marks and faults that it rests on. Ties are settled by the rubric's order; the order of marks,
 * faults and judges never matters. A chief's choice that is no longer true is left out, and if nothing is left of it the
 * computed lines stand.
 *
 * Where it fails: one judge alone can make a line; whether the panel agreed is for the review, not for the sheet.
 * @throws RangeError if `gradedOn` is not a date and a retest must be counted from it.
 */
export function sheet(input: SheetInput): Sheet {
  const { rubric, result, gradedOn, chosen } = input;
  const context = contextOf(input);
  const choices = choicesIn(context, input);
  const strong = chosenOf(choices.strong, chosen?.strong) ?? bestTwo(choices.strong);
  const isOut = result === "withdrawn" || result === "absent";
  const shown = new Set(strong.map(subjectOf));
  const fresh = choices.next.filter(
    (one) => one.line.kind !== "grow" || !shown.has(subjectOf(one)),
  );
  const urgent = fresh.filter((one) => isRepeated(one, input));
  const computed = firstAndWeightiest(urgent.length > 0 ? urgent : fresh);
  const next = isOut ? [] : (chosenOf(choices.next, chosen?.next) ?? computed);
  const retest =
    result === "retest" ? retestPart(context, input.repeat, gradedOn, input.sections) : null;
  const isSaid = (practice: string) =>
    retest?.repeat.some(({ practise }) => practise?.practice === practice) ?? false;
  const tasks = next.map(({ line }) => line.practice);
  const body: SheetBody = {
    result,
    from: rankOf(rubric.from),
    to: rankOf(rubric.to),
    gradedOn,
    found: {
      good: context.all.some(({ standing }) => standing !== "below"),
      short: context.all.some(({ standing }) => standing === "below"),
    },
    strong: strong.map(({ line }) => line),
    next: next.map(({ line }) => line),
    task: tasks.find((practice) => practice !== null && !isSaid(practice)) ?? null,
    retest,
  };
  return rubric.audience === "junior"
    ? { ...body, audience: "junior" }
    : { ...body, audience: "adult", profile: profile(rubric, context.all) };
}

/** Every line that could truly stand on this sheet, best first, for the chief to choose from. */
export function sheetChoices(input: SheetInput): { strong: Line[]; next: Line[] } {
  const { strong, next } = choicesIn(contextOf(input), input);
  return { strong: strong.map(({ line }) => line), next: next.map(({ line }) => line) };
}

const contextOf = ({ rubric, library, marks, faults, excused }: SheetInput): LineContext => ({
  rubric,
  library,
  all: evidence(rubric, marks, faults, excused),
});

function choicesIn(
  context: LineContext,
  input: SheetInput,
): { strong: RankedLine[]; next: RankedLine[] } {
  const next = nextLines(context);
  return {
    strong: praiseLines(context),
    next: [
      ...next.filter((one) => isRepeated(one, input)),
      ...next.filter((one) => !isRepeated(one, input)),
    ],
  };
}

/** Whether a line is about a section that is to be shown again. */
function isRepeated({ line }: RankedLine, input: SheetInput): boolean {
  return (
    input.result === "retest" && line.traces.some(({ section }) => input.repeat.includes(section))
  );
}

function chosenOf(
  choices: readonly RankedLine[],
  keys: readonly string[] | undefined,
): RankedLine[] | undefined {
  if (!keys) return undefined;
  const found = keys.flatMap((key) => choices.find(({ line }) => line.key === key) ?? []);
  return found.length > 0 || keys.length === 0 ? found.slice(0, MOST_LINES) : undefined;
}

/** The best, and the best of the rest that is about something else. */
function bestTwo(lines: readonly RankedLine[]): RankedLine[] {
  const [first, ...rest] = lines;
  if (!first) return [];
  const isOther = (one: RankedLine) => one.criterionId !== first.criterionId;
  const isElsewhere = (one: RankedLine) => one.line.group !== first.line.group;
  // Strong before met, met before done: something else never comes from a lower kind while there is a higher one.
  const peers = rest.filter(({ line }) => line.kind === rest[0]?.line.kind);
  const second =
    peers.find((one) => isOther(one) && isElsewhere(one)) ??
    peers.find((one) => isOther(one) || isElsewhere(one)) ??
    rest[0];
  return second ? [first, second] : [first];
}

/** The first, and the weightiest of the rest if it matters. Things that could grow are no faults: one of them is enough. */
function firstAndWeightiest(lines: readonly RankedLine[]): RankedLine[] {
  const [first, ...rest] = lines;
  if (!first) return [];
  if (first.line.kind === "grow") return [first];
  const second = rest.reduce<RankedLine | undefined>(
    (most, one) => (most && most.rank >= one.rank ? most : one),
    undefined,
  );
  return second && second.rank >= first.rank * SECOND_MATTERS ? [first, second] : [first];
}

const subjectOf = ({ line, criterionId }: RankedLine): string => `${criterionId}/${line.group}`;
const rankOf = ({ title, belt }: Rank): Pick<Rank, "title" | "belt"> => ({ title, belt });
