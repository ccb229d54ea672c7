import { describe, expect, it } from "vitest";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { knownSeverities } from "../../../src/belt-test/verdict/known-severities.ts";
import { Reconciler } from "../../../src/belt-test/verdict/reconciler.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anAnchor, anAnchorId, anchorLevels } from "../../builders/an-anchor.ts";
import { anId } from "../../builders/an-id.ts";

const judge = (one: number) => `judge-${one}` as PersonId;
function anchored(day = aTestDay()) {
  const { chief, rubric, judges } = day;
  return [
    ...day.plan,
    anAnchor(chief, rubric),
    chief.write("anchor-agreed", { anchor: anAnchorId, marks: anchorLevels(rubric, 3) }),
    ...judges.map(({ pen }, one) =>
      pen.write("anchor-marked", { anchor: anAnchorId, marks: anchorLevels(rubric, 3 - one) }),
    ),
    chief.write("severities-used", { anchors: true, history: true }),
  ];
}

describe("what is known of judges beforehand", () => {
  it("[V31] from an anchor: the agreed mark less the judge's, in levels", () => {
    const known = knownSeverities(fold(anchored()));
    expect([1, 2, 3].map((one) => known.get(judge(one))?.severity)).toEqual([0, 1, 2]);
  });
  it("[V31] trusts an anchor of three quarters of the test less than a whole one would be", () => {
    // Blocks weigh 3 of 4; scoreWeight(.75) = 1.5 / 1.75. One whole anchor is good to a quarter of a level.
    const known = knownSeverities(fold(anchored()));
    expect(known.get(judge(1))?.sd).toBeCloseTo(0.25 / Math.sqrt(1.5 / 1.75), 9);
  });
  it("[V31] from earlier tests, trusted less with each year", () => {
    const { plan, chief } = aTestDay();
    const keep = (date: string) =>
      chief.write("severity-kept", {
        judge: judge(1),
        from: anId("grading-0"),
        date,
        kept: { severity: 0.2, sd: 0.1 },
      });
    // aTestDay is on 2026-06-06. A year of wandering: √(.1² + .15²).
    const found = knownSeverities(fold([...plan, keep("2025-06-06")])).get(judge(1));
    expect(found?.severity).toBeCloseTo(0.2, 12);
    expect(found?.sd).toBeCloseTo(Math.hypot(0.1, 0.15), 3);
    expect(knownSeverities(fold([...plan, keep("2026-06-06")])).get(judge(1))?.sd).toBeCloseTo(
      0.1,
      12,
    );
  });
  it("[V32] does not measure whoever agreed the marks", () => {
    const day = aTestDay();
    const { chief, rubric } = day;
    const seated = chief.write("seated", {
      person: "chief" as PersonId,
      roles: ["chief", "judge"],
    });
    const own = chief.write("anchor-marked", {
      anchor: anAnchorId,
      marks: anchorLevels(rubric, 4),
    });
    const known = knownSeverities(fold([...anchored(day), seated, own]));
    expect(known.has("chief" as PersonId)).toBe(false);
    expect(known.size).toBe(3);
  });
  it("[V31] gives a complete panel a standard, and with it an adjusted score", () => {
    const day = aTestDay({ candidates: 4 });
    const { entries } = aMarkedDay({
      day,
      levelOf: (candidate, place) =>
        place.section === "etiquette" || candidate === "candidate-1" ? 2 : 3,
    });
    const book = fold(entries);
    const reconciler = new Reconciler(book);
    expect(reconciler.severity().outlook).toBe("nothing-to-gain-without-standard");
    const { chief, rubric, judges } = day;
    chief.hear(book.lamport);
    book.add(anAnchor(chief, rubric));
    book.add(chief.write("anchor-agreed", { anchor: anAnchorId, marks: anchorLevels(rubric, 3) }));
    for (const { pen } of judges)
      book.add(pen.write("anchor-marked", { anchor: anAnchorId, marks: anchorLevels(rubric, 2) }));
    expect(reconciler.severity().outlook).toBe("nothing-to-gain-without-standard");
    book.add(chief.write("severities-used", { anchors: true, history: true }));
    expect(reconciler.severity().outlook).toBe("whole-panel");
    const [first] = day.candidates;
    const found = reconciler.advised(first as never)?.adjusted;
    expect(found?.to).toBe("standard");
    expect(found?.change).toBeGreaterThan(5);
  });
});
