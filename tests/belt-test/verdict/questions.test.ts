import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import type { Place } from "../../../src/belt-test/scorebook/cell.ts";
import type { CandidateCase, Outcome, Question } from "../../../src/belt-test/verdict/outcome.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import {
  hindrances,
  isIssuable,
  questionQueue,
} from "../../../src/belt-test/verdict/question-queue.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aCase, at, type Level, marksOf } from "../../builders/a-case.ts";
import { aRubric } from "../../builders/a-rubric.ts";

const judge = (n: number) => `judge-${n}` as PersonId;
const blocks = "blocks" as SectionId;
const kindsOf = ({ questions }: Outcome) => questions.map(({ kind }) => kind);
const question = ({ questions }: Outcome, kind: Question["kind"]) =>
  questions.find((one) => one.kind === kind);
const levels =
  (cells: Record<string, Level[]>) =>
  (place: Place, who: number): Level => {
    const key = Object.keys(cells).find((one) => at(place).startsWith(one));
    const given = key === undefined ? undefined : cells[key]?.[who - 1];
    return given !== undefined ? given : place.criterion === "done" ? 2 : 3;
  };
const chamber = {
  section: blocks,
  item: "low-block" as ItemId,
  side: null,
  criterion: "chamber" as Place["criterion"],
};

describe("questions for the chief examiner", () => {
  it("a panel that agrees raises none", () => {
    expect(outcome(aCase()).questions).toEqual([]);
  });

  it("[V10] two judges as far apart as the rubric says are asked to talk, by name", () => {
    const apart = outcome(
      aCase({ judges: 3, level: levels({ "blocks/low-block//chamber": [2, 4, 3] }) }),
    );
    expect(question(apart, "level-gap")).toMatchObject({
      key: "level-gap/blocks/low-block//chamber",
      judges: ["judge-1", "judge-2"],
      lower: ["judge-1"],
      gap: 2,
      effect: "no-effect",
    });
    expect(
      kindsOf(outcome(aCase({ level: levels({ "blocks/low-block//chamber": [3, 4] }) }))),
    ).toEqual([]);
  });

  it("[V138] judges who do not agree what of a list was done are asked once, with all that it could do", () => {
    // Meets everywhere is 50.025 with nothing of the list done, 75.025 with all of it, 62.525 where one of two says so.
    const split = (mark: number, done = [1, 2]) =>
      outcome(
        aCase({
          rubric: aRubric({ pass: { mark }, disagreement: { levelGap: 2, borderlineBand: 0 } }),
          level: levels({ etiquette: done }),
        }),
      );
    expect(split(60)).toMatchObject({ computed: "pass", questions: [{ kind: "list-split" }] });
    const items = aRubric().sections.find(({ id }) => id === "etiquette")?.items.length ?? 0;
    expect(question(split(60), "list-split")).toMatchObject({
      key: "list-split/etiquette",
      judges: ["judge-1", "judge-2"],
      cells: items,
      effect: "could-change",
      flips: true,
    });
    expect(isIssuable(split(60))).toBe(false);
    expect(question(split(40), "list-split")).toMatchObject({ effect: "no-effect", flips: false });
    expect(split(60, [2, 2]).questions).toEqual([]);
    // Also where a level apart is a gap: once, not item by item.
    const strict = aCase({
      rubric: aRubric({ disagreement: { levelGap: 1, borderlineBand: 0 } }),
      level: levels({ etiquette: [1, 2] }),
    });
    expect(kindsOf(outcome(strict))).toEqual(["list-split"]);
    // Whoever is left out is left out of the list.
    const struck = outcome({
      ...aCase({ rubric: aRubric({ pass: { mark: 60 } }), level: levels({ etiquette: [1, 2] }) }),
      settlements: [
        { question: "list-split/etiquette", decision: "struck", judge: "judge-2" as PersonId },
      ],
    });
    expect(struck).toMatchObject({ computed: "retest" });
  });

  it("[V10] a gap that could turn the verdict says so", () => {
    // Meets everywhere and etiquette done is 75.025. Chamber at 2 and 4 still comes to 3; at 2 it is 72.24, at 4 77.81.
    const from = (mark: number) =>
      aCase({
        rubric: aRubric({ pass: { mark }, disagreement: { levelGap: 2, borderlineBand: 0 } }),
        level: levels({ "blocks/low-block//chamber": [2, 4] }),
      });
    expect(question(outcome(from(74)), "level-gap")).toMatchObject({
      effect: "could-change",
      flips: true,
    });
    expect(question(outcome(from(76)), "level-gap")).toMatchObject({
      effect: "could-change",
      flips: true,
    });
    expect(question(outcome(from(70)), "level-gap")).toMatchObject({
      effect: "no-effect",
      flips: false,
    });
    // Out of reach at either end: it may change what is to be repeated, never pass or retest.
    expect(question(outcome(from(90)), "level-gap")).toMatchObject({ flips: false });
    // A whole level of one of two cells of one of three items: 33.4 / 2 / 3, by 3 of 4 parts.
    expect(question(outcome(from(70)), "level-gap")?.swing).toBeCloseTo((33.4 / 6) * 0.75, 9);
  });

  it("[V10] overall judgements that say retest and pass are a question; “borderline” takes no side", () => {
    const overall = (...judgements: number[]) =>
      outcome(
        aCase({
          judges: 3,
          overalls: judgements.map((judgement, one) => ({
            judge: judge(one + 1),
            section: blocks,
            judgement,
          })),
        }),
      );
    expect(question(overall(1, 3, 3), "overall-split")).toMatchObject({
      key: "overall-split/blocks",
      section: "blocks",
    });
    expect(kindsOf(overall(2, 3, 4))).toEqual([]);
    expect(kindsOf(overall(1, 2, 2))).toEqual([]);
  });

  it("[V10] an overall judgement that the section's own score contradicts is a question", () => {
    const overalls = [1, 2].map((one) => ({ judge: judge(one), section: blocks, judgement: 1 }));
    expect(question(outcome(aCase({ overalls })), "overall-mismatch")).toMatchObject({
      effect: "could-change",
      flips: true,
    });
    const praised = overalls.map((one) => ({ ...one, judgement: 3 }));
    const weak = aCase({
      overalls: praised,
      level: (place) => (place.criterion === "done" ? 2 : 1),
    });
    expect(kindsOf(outcome(weak))).toContain("overall-mismatch");
    expect(kindsOf(outcome(aCase({ overalls: praised })))).toEqual([]);
  });

  it("[V10] a total inside the band around the pass mark is looked at again", () => {
    const near = (mark: number) => outcome(aCase({ rubric: aRubric({ pass: { mark } }) }));
    expect(question(near(73), "borderline")).toMatchObject({
      key: "borderline",
      effect: "could-change",
    });
    expect(question(near(73), "borderline")?.gap).toBeCloseTo(2.025, 9);
    expect(question(near(78), "borderline")?.gap).toBeCloseTo(-2.975, 9);
    expect(kindsOf(near(72))).toEqual([]);
    // A section below its floor is a retest whatever the total: a second look at the total changes nothing.
    const rubric = aRubric({ pass: { mark: 73 } });
    if (rubric.sections[0]) rubric.sections[0].floor = 80;
    expect(question(outcome(aCase({ rubric })), "borderline")).toMatchObject({
      effect: "no-effect",
    });
  });

  it("[V10] a judge far from the rest of the panel over a section stands alone", () => {
    const alone = aCase({
      judges: 5,
      level: (place, who) => (place.criterion === "done" ? 2 : who === 4 ? 2 : 3),
    });
    expect(question(outcome(alone), "lone-dissent")).toMatchObject({
      key: "lone-dissent/judge-4/blocks",
      judges: ["judge-4"],
      gap: -1,
    });
    // The same distance on one cell of nine is not.
    expect(
      kindsOf(
        outcome(
          aCase({ judges: 5, level: levels({ "blocks/low-block//chamber": [3, 3, 3, 2, 3] }) }),
        ),
      ),
    ).toEqual([]);
  });

  it("[V10] fewer judges than the quorum, one question a section", () => {
    const found = outcome(aCase({ level: levels({ "blocks/low-block": [3, "not-seen"] }) }));
    expect(question(found, "no-quorum")).toMatchObject({
      key: "no-quorum/blocks",
      item: "low-block",
      cells: 2,
    });
    expect(
      outcome(aCase({ rubric: aRubric({ panel: { quorum: 1, combine: "mean" } }), judges: 1 }))
        .questions,
    ).toEqual([]);
  });

  it("[V10] a judge who locked with blanks is asked, who said “not seen” is not", () => {
    const blank = outcome(
      aCase({ judges: 3, level: levels({ "blocks/low-block": [3, null, 3] }) }),
    );
    expect(question(blank, "blank")).toMatchObject({ key: "blank/judge-2/blocks", cells: 2 });
    expect(
      kindsOf(
        outcome(aCase({ judges: 3, level: levels({ "blocks/low-block": [3, "not-seen", 3] }) })),
      ),
    ).toEqual([]);
    const elsewhere = aCase({ judges: 3, level: levels({ "blocks/low-block": [3, null, 3] }) });
    const narrowed = elsewhere.judges.map((one) =>
      one.judge === judge(2) && one.section === blocks
        ? { ...one, items: ["rising-block" as ItemId] }
        : one,
    );
    expect(kindsOf(outcome({ ...elsewhere, judges: narrowed }))).toEqual([]);
  });

  it("[V10] a declared relation, a conflict and late marks are questions", () => {
    const found = outcome(
      aCase({
        judges: 3,
        relations: [{ judge: judge(1), relation: "own-student" }],
        conflicts: [{ judge: judge(2), place: chamber, levels: [3, 1] }],
        late: [{ judge: judge(3), place: chamber, level: 4 }],
      }),
    );
    expect(found.questions.map(({ key }) => key).sort()).toEqual([
      "conflict/judge-2/blocks/low-block//chamber",
      "late/judge-3/blocks",
      "relation/judge-1",
    ]);
    // Chamber 3, 3, 3 is 66.7; with 1 it is 3, 1, 3: two thirds of the way from 1 to 3 more or less.
    expect(question(found, "conflict")?.swing).toBeGreaterThan(
      question(found, "late")?.swing as number,
    );
    // A relation of somebody who marked nothing is no question.
    expect(
      outcome(aCase({ relations: [{ judge: judge(7), relation: "family" }] })).questions,
    ).toEqual([]);
  });

  it("[V10] nothing is asked about a section whose marks are still closed", () => {
    const closed = outcome(aCase({ revealed: [], level: levels({ blocks: [1, 4] }) }));
    expect(closed.questions.filter(({ section }) => section)).toEqual([]);
    expect(hindrances(closed)).toContain("not-revealed");
  });

  it("[V11] a settled question leaves the queue; struck marks count for nothing", () => {
    const apart = aCase({ judges: 3, level: levels({ "blocks/low-block//chamber": [1, 3, 3] }) });
    const key = "level-gap/blocks/low-block//chamber";
    const stands = outcome({ ...apart, settlements: [{ question: key, decision: "stands" }] });
    expect(stands.score).toEqual(outcome(apart).score);
    expect(question(stands, "level-gap")).toMatchObject({ isSettled: true });
    expect(questionQueue([stands])).toEqual([]);
    expect(questionQueue([outcome(apart)])).toHaveLength(1);
    const struck = outcome({
      ...apart,
      settlements: [{ question: key, decision: "struck", judge: judge(1) }],
    });
    expect(
      struck.panelMarks.find((mark) => at(mark) === "blocks/low-block//chamber"),
    ).toMatchObject({ level: 3, judges: ["judge-2", "judge-3"] });
    // Only that cell: the judge's other marks stand.
    expect(
      struck.panelMarks.find((mark) => at(mark) === "blocks/low-block//target")?.judges,
    ).toHaveLength(3);
    const relation = outcome({
      ...apart,
      relations: [{ judge: judge(1), relation: "family" }],
      settlements: [{ question: "relation/judge-1", decision: "struck", judge: judge(1) }],
    });
    expect(relation.panelMarks.every(({ judges }) => !judges.includes(judge(1)))).toBe(true);
  });

  it("[V131] whoever is left out owes no marks; whose marks were left out has given them", () => {
    const all = { judges: 3, relations: [{ judge: judge(1), relation: "own-student" as const }] };
    const struck = (question: string, who = 1) => ({
      settlements: [{ question, decision: "struck" as const, judge: judge(who) }],
    });
    const leftOut = outcome(aCase({ ...all, ...struck("relation/judge-1") }));
    expect(leftOut.questions).toEqual([]);
    // With a cell that the judge had left blank, too: nothing is owed of what would not count.
    const blank = levels({ "blocks/low-block": [null, 3, 3] });
    expect(kindsOf(outcome(aCase({ ...all, level: blank })))).toContain("blank");
    expect(
      kindsOf(outcome(aCase({ ...all, level: blank, ...struck("relation/judge-1") }))),
    ).not.toContain("blank");
    // The question itself goes on saying what it said.
    expect(
      question(
        outcome(aCase({ judges: 3, level: blank, ...struck("blank/judge-1/blocks") })),
        "blank",
      ),
    ).toMatchObject({ isSettled: true, cells: 2 });
    // Another judge's blanks are asked about as before, and so are those of a section that the settling does not reach.
    expect(
      question(outcome(aCase({ ...all, level: blank, ...struck("overall-split/kicks") })), "blank"),
    ).toMatchObject({ judges: ["judge-1"], isSettled: false });
    // Whoever took over owes nothing where the one before gave a mark that was left out since.
    const taken = aCase({
      judges: 3,
      level: (place, who) => (who === 3 ? null : levels({})(place, who)),
    });
    const followed = {
      ...taken,
      ...struck("relation/judge-1"),
      judges: taken.judges
        .filter((one) => one.judge !== judge(1))
        .map((one) => (one.judge === judge(3) ? { ...one, before: [[judge(1)]] } : one)),
    };
    expect(kindsOf(outcome(followed))).not.toContain("blank");
  });
});

const level = fc.integer({ min: 1, max: 4 });
/** A candidate marked by three judges who mostly agree, near a pass mark drawn at random. */
const anyCase: fc.Arbitrary<CandidateCase> = fc
  .record({
    skill: level,
    noise: fc.array(fc.constantFrom(0, 0, 0, 0, 1, -1, 2, -2), { minLength: 39, maxLength: 39 }),
    blank: fc.array(fc.constantFrom(false, false, false, false, false, false, true), {
      minLength: 39,
      maxLength: 39,
    }),
    combine: fc.constantFrom(
      "mean" as const,
      "median" as const,
      "drop-high-low" as const,
      "robust" as const,
    ),
    mark: fc.integer({ min: 0, max: 100 }),
    floor: fc.integer({ min: 0, max: 100 }),
    related: fc.boolean(),
  })
  .map(({ skill, noise, blank, combine, mark, floor, related }) => {
    const rubric = aRubric({
      panel: { quorum: 2, combine },
      pass: { mark },
      disagreement: { levelGap: 2, borderlineBand: 1 },
    });
    for (const section of rubric.sections) section.floor = floor;
    let next = 0;
    return aCase({
      rubric,
      judges: 3,
      relations: related ? [{ judge: judge(1), relation: "own-student" }] : [],
      level: ({ criterion }) => {
        const one = next++ % 39;
        if (blank[one]) return null;
        const given = skill + (noise[one] as number);
        return criterion === "done" ? (given > 2 ? 2 : 1) : Math.min(4, Math.max(1, given));
      },
    });
  });

describe("outcomes, whatever the marks", () => {
  it("[V1] nothing depends on the order of marks, judges or questions", () => {
    fc.assert(
      fc.property(anyCase, fc.infiniteStream(fc.nat()), (from, chance) => {
        const shuffled = <T>(list: readonly T[]): T[] =>
          list
            .map((one) => ({ one, at: chance.next().value as number }))
            .sort((a, b) => a.at - b.at)
            .map(({ one }) => one);
        expect(
          outcome({
            ...from,
            marks: shuffled(from.marks),
            judges: shuffled(from.judges),
            relations: shuffled(from.relations),
          }),
        ).toEqual(outcome(from));
      }),
    );
  });

  it("[V131] leaving a judge out asks nothing of that judge that was not asked before", () => {
    const met = { relation: 0, section: 0, blank: 0 };
    fc.assert(
      fc.property(anyCase, fc.nat(2), fc.nat(), (from, who, which) => {
        const left = judge(who + 1);
        const now = outcome({ ...from, relations: [{ judge: left, relation: "other" }] });
        const its = now.questions.filter(({ judges }) => judges?.includes(left));
        const settled = its[which % Math.max(1, its.length)];
        if (!settled) return;
        const after = outcome({
          ...from,
          relations: [{ judge: left, relation: "other" }],
          settlements: [{ question: settled.key, decision: "struck", judge: left }],
        });
        const asked = new Set(now.questions.map(({ key }) => key));
        const blanks = after.questions.filter(
          ({ kind, judges }) => kind === "blank" && judges?.includes(left),
        );
        expect(blanks.filter(({ key }) => !asked.has(key))).toEqual([]);
        for (const { key, cells } of blanks)
          if (!settled.section || key === settled.key)
            expect(cells).toBe(now.questions.find((one) => one.key === key)?.cells);
        if (settled.kind === "relation") met.relation++;
        else if (settled.kind === "blank") met.blank++;
        else met.section++;
      }),
    );
    expect(Math.min(...Object.values(met))).toBeGreaterThan(0);
  });

  it("[V9] a higher mark never turns a pass into anything else", () => {
    fc.assert(
      fc.property(
        anyCase.filter(({ rubric }) => rubric.panel.combine !== "robust"),
        fc.nat(),
        (from, which) => {
          const raised = from.marks.map((mark, place) =>
            place === which % from.marks.length && typeof mark.level === "number"
              ? { ...mark, level: Math.min(mark.level + 1, mark.criterion === "done" ? 2 : 4) }
              : mark,
          );
          if (outcome(from).computed === "pass")
            expect(outcome({ ...from, marks: raised }).computed).toBe("pass");
        },
      ),
    );
  });

  it("[V12] whoever may be issued cannot be turned by settling the open questions, in any way", () => {
    const met = { talked: 0, struck: 0, filled: 0 };
    fc.assert(
      fc.property(
        anyCase,
        fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true })),
        (from, chances) => {
          const now = outcome(from);
          if (!isIssuable(now)) return;
          const chance = () => chances.next().value as number;
          const between = (low: number, high: number) =>
            low + Math.floor(chance() * (high - low + 1));
          const open = new Set(now.questions.map(({ key }) => key));
          // Judges asked to talk mark anew, each anywhere between the lowest and highest of them.
          const marks = from.marks.map((mark) => {
            if (!open.has(`level-gap/${at(mark)}`)) return mark;
            met.talked++;
            const given = from.marks.flatMap((other) =>
              at(other) === at(mark) && typeof other.level === "number" ? [other.level] : [],
            );
            return { ...mark, level: between(Math.min(...given), Math.max(...given)) };
          });
          // Who left blanks fills some of them, with anything on the scale.
          const written = new Set(from.marks.map((mark) => `${mark.judge}/${at(mark)}`));
          for (const mark of marksOf(from.rubric, 3, () => 1)) {
            const isBlank = !written.has(`${mark.judge}/${at(mark)}`);
            if (!isBlank || !open.has(`blank/${mark.judge}/${mark.section}`) || chance() < 0.3)
              continue;
            met.filled++;
            marks.push({ ...mark, level: between(1, mark.criterion === "done" ? 2 : 4) });
          }
          // And the chief strikes the own teacher's marks, or who stands alone.
          const settlements = now.questions
            .filter(({ kind }) => kind === "relation" || kind === "lone-dissent")
            .flatMap(({ key, judges }) =>
              chance() < 0.5
                ? [{ question: key, decision: "struck" as const, judge: judges?.[0] }]
                : [],
            );
          met.struck += settlements.length;
          const { computed } = outcome({ ...from, marks, settlements });
          expect(computed).toBe(now.computed);
        },
      ),
      { numRuns: 800 },
    );
    // The property has met what it is about.
    expect(Math.min(met.talked, met.struck, met.filled)).toBeGreaterThan(10);
  });

  it("[V13] the queue begins with what could turn a verdict", () => {
    fc.assert(
      fc.property(fc.array(anyCase, { minLength: 1, maxLength: 4 }), (cases) => {
        const queue = questionQueue(
          cases.map((one, n) => outcome({ ...one, candidate: `candidate-${n}` as CandidateId })),
        );
        const strength = queue.map(({ question: { flips, effect } }) =>
          flips ? 2 : effect === "could-change" ? 1 : 0,
        );
        expect(strength).toEqual([...strength].sort((a, b) => b - a));
      }),
      { numRuns: 50 },
    );
  });

  it("[V12] two judges who might both be struck, and nobody else, hold the verdict back", () => {
    const relations = [1, 2].map((one) => ({ judge: judge(one), relation: "family" as const }));
    // No score can fail here: only too little seen can.
    const rubric = aRubric({ panel: { quorum: 1, combine: "mean" }, pass: { mark: 0 } });
    for (const section of rubric.sections) section.floor = 0;
    expect(isIssuable(outcome(aCase({ rubric, relations })))).toBe(false);
    expect(isIssuable(outcome(aCase({ rubric, relations, judges: 3 })))).toBe(true);
  });

  it("[V12] a section and a total that fail together, both doubtful, hold the verdict back", () => {
    // Blocks 66.7 below a floor of 70, the total 75.0 just below 76: each alone leaves a retest of blocks, both together a pass.
    const rubric = aRubric({ pass: { mark: 76 } });
    if (rubric.sections[0]) rubric.sections[0].floor = 70;
    const overalls = [1, 2].map((one) => ({ judge: judge(one), section: blocks, judgement: 3 }));
    const found = outcome(aCase({ rubric, overalls }));
    expect(kindsOf(found).sort()).toEqual(["borderline", "overall-mismatch"]);
    expect(found.questions.every(({ flips }) => flips)).toBe(true);
    expect(isIssuable(found)).toBe(false);
  });

  it("questions that turn nothing alone but something together all say so", () => {
    // Two gaps of two levels, each worth 4.2 points of the total: one keeps 75.0 above 70, both at their lowest do not.
    const rubric = aRubric({
      pass: { mark: 70 },
      disagreement: { levelGap: 2, borderlineBand: 0 },
    });
    const from = aCase({
      rubric,
      marks: marksOf(rubric, 2, levels({ "blocks/low-block": [2, 4] })),
    });
    expect(outcome(from).questions.map(({ effect }) => effect)).toEqual([
      "could-change",
      "could-change",
    ]);
    expect(isIssuable(outcome(from))).toBe(false);
  });
});
