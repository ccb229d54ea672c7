import { isOpen } from "./is-open.ts";
import type { Outcome, SectionOutcome } from "./outcome.ts";

/** What was computed, as it may be told; the same object as long as the outcome is. */
const opened = new WeakMap<Outcome, Outcome>();

/** An outcome without what is still closed: scores, panel marks and questions of sections whose judges have not all locked. */
export function asOpened(outcome: Outcome): Outcome {
  if (isOpen(outcome)) return outcome;
  const known = opened.get(outcome);
  if (known) return known;
  const isRevealed = (id: string | undefined) =>
    outcome.sections.some((section) => section.id === id && section.isRevealed);
  const { candidate, rubric, presence, adjusted, adjustedReason, certainty, certaintyReason } =
    outcome;
  // Each part is named, so that whoever adds one is asked what of it may be told.
  const seen: Outcome = {
    ...{ candidate, rubric, presence, adjusted, adjustedReason, certainty, certaintyReason },
    computed: "incomplete" as const,
    score: null,
    scoreRounded: null,
    retestSections: [],
    sections: outcome.sections.map((section) => (section.isRevealed ? section : closed(section))),
    panelMarks: outcome.panelMarks.filter(({ section }) => isRevealed(section)),
    // What a question could do rests on every mark, closed ones too: it is said when there is a result.
    questions: outcome.questions.flatMap((question) =>
      isRevealed(question.section)
        ? [{ ...question, effect: "no-effect" as const, flips: false, swing: 0 }]
        : [],
    ),
  } satisfies Record<keyof Outcome, unknown>;
  opened.set(outcome, seen);
  return seen;
}

const closed = ({ id, floor, isExcused, isRevealed }: SectionOutcome): SectionOutcome => ({
  ...{ id, floor, isExcused, isRevealed },
  score: null,
  seen: 0,
  unmet: [{ kind: "floor", item: null, why: "unseen" }],
});
