import type { CandidateId, CriterionId, ItemId, SectionId } from "../../src/belt-test/identity.ts";
import type { Rubric, Side } from "../../src/belt-test/rubric/rubric.ts";
import type { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { RULES, type Rules } from "../../src/belt-test/scorebook/rules.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { aGradingId, aPen } from "./a-pen.ts";
import { aRubric } from "./a-rubric.ts";

export interface TestDay {
  chief: Pen;
  judges: { person: PersonId; pen: Pen }[];
  candidates: CandidateId[];
  rubric: Rubric;
  /** The plan: opened, frozen, seated, entered, lined up, assigned, started. */
  plan: AnyEntry[];
}

/** A belt test with everybody seated and nothing marked yet: all judges mark all candidates in every section. */
export function aTestDay({
  judges = 3,
  candidates = 3,
  rubric = aRubric(),
  grading = aGradingId,
  /** By which rules the book is read. */
  rules = RULES as Rules,
} = {}): TestDay {
  const chief = aPen("chief", "chief-tablet", grading, rules);
  const judging = Array.from({ length: judges }, (_, index) => {
    const person = `judge-${index + 1}` as PersonId;
    return { person, pen: aPen(person, `${person}-tablet`, grading, rules) };
  });
  const line = Array.from(
    { length: candidates },
    (_, index) => `candidate-${index + 1}` as CandidateId,
  );
  const plan: AnyEntry[] = [
    chief.write("opened", { title: "Summer belt test", date: "2026-06-06", rules }),
    chief.write("frozen", { rubric }),
    chief.write("seated", { person: "chief" as PersonId, roles: ["chief"] }),
    ...judging.map(({ person }) => chief.write("seated", { person, roles: ["judge"] })),
    ...line.map((candidate, index) =>
      chief.write("entered", { candidate, number: index + 1, rubric: rubric.id }),
    ),
    chief.write("lined-up", { wave: 1, lanes: line }),
    ...judging.flatMap(({ person }) =>
      rubric.sections.map(({ id }) =>
        chief.write("assigned", { judge: person, section: id, candidates: line }),
      ),
    ),
    chief.write("started", {}),
  ];
  for (const { pen } of judging) pen.hear(plan.length);
  return { chief, judges: judging, candidates: line, rubric, plan };
}

/** One tapped mark. */
export function aMark(
  pen: Pen,
  {
    candidate = "candidate-1",
    section = "blocks",
    item = "rising-block" as string | null,
    side = "left" as Side | null,
    criterion = "chamber",
    level = 3 as number | "not-seen" | "cleared",
    how = "tapped" as "tapped" | "rest",
    lane = undefined as number | undefined,
  } = {},
) {
  return pen.write("mark", {
    section: section as SectionId,
    item: item as ItemId | null,
    side,
    ...(lane && { lane }),
    cells: [
      { candidate: candidate as CandidateId, criterion: criterion as CriterionId, level, how },
    ],
  });
}
