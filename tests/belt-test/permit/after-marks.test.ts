import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { panelCertainty } from "../../../src/belt-test/verdict/panel-certainty.ts";
import { verdictDoubt } from "../../../src/belt-test/verdict/verdict-doubt.ts";
import type { Basis } from "../../../src/book/counts.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aCase } from "../../builders/a-case.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { aTextRef } from "../../builders/an-id.ts";

const [mia, ben] = ["candidate-1", "candidate-2"] as [CandidateId, CandidateId];
const reason = aTextRef("side-1");
const head = { person: "chief" as PersonId, roles: ["chief"] as const };
const atDesk = { person: "desk" as PersonId, roles: ["desk"] as const };
const blocks = "blocks" as SectionId;
const other = { ...aRubric(), id: "other" as RubricId };

function aDay() {
  const day = aTestDay();
  const { chief } = day;
  const desk = aPen("desk", "desk-tablet");
  const plan = [...day.plan, chief.write("frozen", { rubric: other })];
  desk.hear(100);
  const excuse = (pen = desk, section = "blocks", item = "rising-block") =>
    pen.write("excused", {
      ...{ candidate: mia, section: section as SectionId, item: item as ItemId, reason },
    });
  const entered = (number: number, rubric: RubricId, pen = desk) =>
    pen.write("entered", { candidate: mia, number, rubric });
  const opening = () => chief.write("revealed", { section: blocks, candidates: [mia], reason });
  const verdict = () =>
    chief.write("verdict", {
      ...{ candidate: mia, result: "retest", computed: "retest", retestSections: [], basis: {} },
    });
  return { ...day, plan, desk, excuse, entered, opening, verdict };
}

describe("what the desk says of a child after the marks", () => {
  it("[S200] excused from everything, a marked child is incomplete, and the others are reckoned on", () => {
    const cases = [1, 2, 3].map((who) => {
      const candidate = `candidate-${who}` as CandidateId;
      const one = aCase({ level: (_, judge) => 1 + ((judge + who) % 3), judges: 3 });
      return { ...one, candidate, marks: one.marks.map((mark) => ({ ...mark, candidate })) };
    });
    const certain = (isKept: (marking: unknown) => boolean) => {
      const given = cases.map((one, at) => {
        const items = one.rubric.sections
          .filter(({ marking }) => !isKept(marking))
          .flatMap(({ items }) => items.map(({ id }) => id));
        const its = at === 0 ? { ...one, excused: items } : one;
        return { ...its, outcome: outcome(its) };
      });
      return { of: given[0]?.outcome, found: panelCertainty(given) };
    };
    const all = certain(() => false);
    expect(all.of?.computed).toBe("incomplete");
    expect(all.found.get(mia)).toBe("incomplete");
    expect(all.found.get(ben)).toMatchObject({ flatJudges: expect.anything() });
    expect(certain((marking) => marking === "checklist").found.get(mia)).toBeTypeOf("string");
  });

  it("[S201] no excuse by the desk where marks are open, and by nobody after a verdict", () => {
    const { plan, chief, excuse, opening, verdict } = aDay();
    const before = excuse();
    expect(refusal(fold(plan), atDesk, before)).toBeNull();
    chief.hear(200);
    const open = [...plan, opening()];
    const desk = aPen("desk", "desk-2");
    desk.hear(300);
    expect(refusal(fold(open), atDesk, excuse(desk))?.code).toBe("EXCUSE_LATE");
    expect(refusal(fold(open), head, excuse(chief))).toBeNull();
    const issued = [...open, verdict()];
    expect(refusal(fold(issued), head, excuse(chief))?.code).toBe("EXCUSE_LATE");
  });

  it("[S311] takes no mark that was given by another scale than the child is tested by now", () => {
    const { plan, chief, judges, rubric } = aDay();
    const first = judges[0] as (typeof judges)[number];
    const asJudge = { person: first.person, roles: ["judge" as const] };
    const { levels, meetsLevel } = rubric.scale;
    const given = (scale?: [number, number]) => {
      const mark = aMark(first.pen, { level: 2 });
      return { ...mark, body: { ...mark.body, ...(scale && { scale }) } };
    };
    const book = fold(plan);
    expect(refusal(book, asJudge, given([levels.length, meetsLevel]))).toBeNull();
    // Marks of before do not say it.
    expect(refusal(book, asJudge, given())).toBeNull();
    // Off the line it was not heard that the chief gave the child another rubric.
    const old = given([levels.length, meetsLevel]);
    const fewer = { ...rubric.scale, levels: levels.slice(1), meetsLevel: meetsLevel - 1 };
    const narrow = { ...aRubric({ version: 2 }), id: "narrow" as RubricId, scale: fewer };
    chief.hear(200);
    const corrected = [
      ...plan,
      chief.write("frozen", { rubric: narrow }),
      chief.write("entered", { candidate: mia, number: 1, rubric: narrow.id }),
    ];
    expect(refusal(fold(corrected), asJudge, old)?.code).toBe("SCALE_OTHER");
    const now = given([levels.length - 1, meetsLevel - 1]);
    expect(refusal(fold(corrected), asJudge, now)?.code).not.toBe("SCALE_OTHER");
  });

  it("[S201] whatever section it names and whatever logical time it bears, the desk excuses nothing that is open", () => {
    const names = fc.constantFrom("blocks", "etiquette", "nope");
    const items = fc.constantFrom("rising-block", "low-block", "nope");
    fc.assert(
      fc.property(names, items, fc.integer({ min: 1, max: 400 }), fc.boolean(), (...said) => {
        const [section, item, lamport, lifted] = said;
        const { plan, chief, excuse, opening } = aDay();
        chief.hear(200);
        const book = fold([...plan, opening()]);
        const line = { ...excuse(aPen("desk", "desk-4"), section, item), lamport };
        const body = { ...line.body, ...(lifted && { lifted: true as const }) };
        expect(refusal(book, atDesk, { ...line, body })).not.toBeNull();
      }),
    );
  });

  it("[S302] an excuse is lifted until somebody has locked there, and by nobody after", () => {
    const { plan, chief, judges, excuse, opening, verdict } = aDay();
    const lifted = (pen: typeof chief) => {
      const line = excuse(pen);
      return { ...line, body: { ...line.body, lifted: true as const } };
    };
    const excused = excuse(chief);
    const marked = [...plan, excused];
    const item = excused.body.item;
    expect(fold(marked).plan.excuse(mia, item)).toBeDefined();
    expect(refusal(fold(marked), head, lifted(chief))).toBeNull();
    expect(refusal(fold(marked), atDesk, lifted(aPen("desk", "desk-3")))).toBeNull();
    expect(fold([...marked, lifted(chief)]).plan.excuse(mia, item)).toBeUndefined();
    const first = judges[0] as (typeof judges)[number];
    const locked = [...marked, ...aLock(first, blocks, [mia], marked)];
    expect(refusal(fold(locked), head, lifted(chief))?.code).toBe("EXCUSE_LATE");
    const open = [...marked, opening()];
    expect(refusal(fold(open), head, lifted(chief))?.code).toBe("EXCUSE_LATE");
    expect(refusal(fold([...open, verdict()]), head, lifted(chief))?.code).toBe("EXCUSE_LATE");
  });

  it("[S214] whatever logical time a desk's line bears, it changes nothing of what is open or marked here", () => {
    const logicalTime = fc.integer({ min: 1, max: 900 });
    fc.assert(
      fc.property(logicalTime, fc.boolean(), (time, isIssued) => {
        const { plan, chief, judges, opening, verdict, excuse, entered, rubric } = aDay();
        chief.hear(200);
        const first = judges[0] as (typeof judges)[number];
        const lines = [...plan, aMark(first.pen), opening(), ...(isIssued ? [verdict()] : [])];
        const book = fold(lines);
        const desk = aPen("desk", "desk-2");
        const at = <T extends { lamport: number }>(line: T): T => ({ ...line, lamport: time });
        expect(refusal(book, atDesk, at(excuse(desk)))?.code).toBe("EXCUSE_LATE");
        expect(refusal(book, atDesk, at(entered(1, other.id, desk)))?.code).toBe("RUBRIC_BEGUN");
        expect(refusal(book, atDesk, at(entered(9, rubric.id, desk)))?.code).toBe("NUMBER_BEGUN");
        // A chief who was away when it was written had not heard of the marks.
        if (time < 200) expect(refusal(book, head, at(excuse(chief)))).toBeNull();
      }),
    );
  });

  it("[S215] what the chief had before the verdict comes again to a hub that lost it, and nothing else under that cover", () => {
    const { plan, chief, judges, opening, excuse, entered } = aDay();
    const desk = aPen("desk", "desk-2");
    const [one, other2, third] = [excuse(desk), entered(1, other.id, desk), excuse(desk)];
    chief.hear(200);
    const issued = (basis: Record<string, number>) =>
      chief.write("verdict", {
        ...{ candidate: mia, result: "retest", computed: "retest", retestSections: [] },
        basis: basis,
      });
    const lines = [...plan, aMark((judges[0] as (typeof judges)[number]).pen), opening()];
    const book = fold([...lines, issued({ [desk.device]: 2 })]);
    const putBack = { ...atDesk, mayComeAgain: true };
    expect(refusal(book, putBack, one)).toBeNull();
    expect(refusal(book, putBack, other2)).toBeNull();
    expect(refusal(book, putBack, third)?.code).toBe("EXCUSE_LATE");
    // Where nothing was lost nobody has had what is not here.
    expect(refusal(book, atDesk, one)?.code).toBe("EXCUSE_LATE");
    // A place that this hub has passed over is filled by nobody.
    const passed = fold([...lines, third, issued({ [desk.device]: 3 })]);
    expect(refusal(passed, putBack, one)?.code).toBe("EXCUSE_LATE");
  });

  it("[S216] the chief gives a child that was marked another rubric with a reason only", () => {
    const { plan, chief, judges, entered, rubric } = aDay();
    const marked = fold([...plan, aMark((judges[0] as (typeof judges)[number]).pen)]);
    chief.hear(300);
    expect(refusal(fold(plan), head, entered(1, other.id, chief))).toBeNull();
    expect(refusal(marked, head, entered(1, other.id, chief))?.code).toBe("REASON_MISSING");
    expect(refusal(marked, head, entered(9, rubric.id, chief))).toBeNull();
    const why = chief.write("entered", { candidate: mia, number: 1, rubric: other.id, reason });
    expect(refusal(marked, head, why)).toBeNull();
  });

  it("[S306] nobody gives a marked child a rubric by which its marks would mean something else; one that is marked no more is given any", () => {
    const { plan, chief, judges } = aDay();
    const { levels } = other.scale;
    const scales = [
      { levels: levels.slice(1), meetsLevel: 2 },
      { levels, meetsLevel: 2 },
      { levels: levels.map((level) => ({ ...level, title: `${level.title}!` })), meetsLevel: 3 },
    ];
    const rubrics = scales.map((scale, at) => ({
      ...aRubric({
        scale,
        criteria: other.criteria.map((one) => ({
          ...one,
          descriptors: one.descriptors.slice(-scale.levels.length),
        })),
      }),
      id: `scale-${at}` as RubricId,
    }));
    const pen = (judges[0] as (typeof judges)[number]).pen;
    const frozen = rubrics.map((rubric) => chief.write("frozen", { rubric }));
    const before = [...plan, ...frozen];
    const mark = aMark(pen);
    chief.hear(300);
    const give = (rubric: RubricId) =>
      chief.write("entered", { candidate: mia, number: 1, rubric, reason });
    const codes = (lines: readonly AnyEntry[]) =>
      rubrics.map(({ id }) => refusal(fold(lines), head, give(id))?.code);
    expect(codes(before)).toEqual([undefined, undefined, undefined]);
    // As where a rubric is replaced, other words for the same levels are a correction.
    expect(codes([...before, mark])).toEqual(["RUBRIC_MISFIT", "RUBRIC_MISFIT", undefined]);
    expect(codes([...before, mark, aMark(pen, { level: "cleared" })])).toEqual([
      undefined,
      undefined,
      undefined,
    ]);
    // A chief who had not heard of the marks either.
    const unheard = { ...give("scale-0" as RubricId), lamport: 1 };
    expect(refusal(fold([...before, mark]), head, unheard)?.code).toBe("RUBRIC_MISFIT");
    // What a hub had before it was put back comes again.
    const second = aPen("co-chief");
    second.hear(300);
    const again = second.write("entered", {
      ...{ candidate: mia, number: 1, rubric: "scale-0" as RubricId, reason },
    });
    const basis = { [again.device]: again.n } as Basis;
    const verdict = chief.write("verdict", {
      ...{ candidate: mia, result: "retest", computed: "retest", retestSections: [], basis },
    });
    const putBack = { ...head, person: "co-chief" as PersonId, mayComeAgain: true };
    expect(refusal(fold([...before, mark, verdict]), putBack, again)).toBeNull();
  });

  it("[S306] where a verdict was issued by a rubric of another scale, the child is given that one back", () => {
    const { plan, chief, judges, rubric } = aDay();
    const wide = {
      ...aRubric({ scale: { ...rubric.scale, meetsLevel: 2 } }),
      id: "wide" as RubricId,
    };
    const mark = aMark((judges[0] as (typeof judges)[number]).pen);
    chief.hear(300);
    const lines = [...plan, chief.write("frozen", { rubric: wide }), mark] as AnyEntry[];
    const give = (id: RubricId) =>
      chief.write("entered", { candidate: mia, number: 1, rubric: id, reason }) as AnyEntry;
    const verdict = chief.write("verdict", {
      ...{ candidate: mia, result: "pass", retestSections: [], computed: "incomplete", reason },
      basis: fold(lines).basis,
    }) as AnyEntry;
    // As a hub of before took it.
    const book = fold([...lines, verdict, give(wide.id)]);
    expect(refusal(book, head, give(rubric.id))).toBeNull();
    expect(refusal(book, head, give(other.id))?.code).toBe("RUBRIC_MISFIT");
  });

  it("[V134] after the closing the chief gives a child the rubric back that its verdict was issued by, with a reason, and no other", () => {
    const { plan, chief, desk, rubric } = aDay();
    chief.hear(300);
    const verdict = chief.write("verdict", {
      ...{ candidate: mia, result: "pass", retestSections: [], computed: "incomplete", reason },
      basis: fold(plan).basis,
    });
    const more = [
      verdict,
      chief.write("entered", { candidate: mia, number: 1, rubric: other.id, reason }),
      chief.write("closed", {}),
    ];
    const book = fold([...plan, ...more] as AnyEntry[]);
    expect(verdictDoubt(book, mia)).toBe("other-rubric");
    const entered = (said: object, pen = chief) =>
      pen.write("entered", { candidate: mia, number: 1, rubric: rubric.id, ...said });
    const back = entered({ reason });
    expect(refusal(book, head, back)).toBeNull();
    expect(verdictDoubt(fold([...book.entries(), back]), mia)).toBeUndefined();
    expect(refusal(book, head, entered({}))?.code).toBe("REASON_MISSING");
    for (const said of [
      { number: 9 },
      { rubric: other.id },
      { given: reason },
      { details: reason },
    ])
      expect(refusal(book, head, entered({ reason, ...said }))?.code).toBe("GRADING_CLOSED");
    desk.hear(book.lamport);
    expect(refusal(book, atDesk, entered({ reason }, desk))?.code).toBe("RUBRIC_BEGUN");
    // Where there is no verdict there is nothing to go back to.
    const without = fold([...plan, ...more.slice(1)] as AnyEntry[]);
    expect(refusal(without, head, back)?.code).toBe("GRADING_CLOSED");
  });

  it("[V134] where two verdicts by two rubrics stand, and neither knew of the other, either is given back, and no third", () => {
    const { plan, chief, rubric } = aDay();
    const issue = (lines: readonly AnyEntry[]) =>
      chief.write("verdict", {
        ...{ candidate: mia, result: "pass", retestSections: [], computed: "incomplete", reason },
        ...{ basis: fold(lines).basis, after: {} },
      }) as AnyEntry;
    const give = (id: RubricId) =>
      chief.write("entered", { candidate: mia, number: 1, rubric: id, reason }) as AnyEntry;
    chief.hear(300);
    const byFirst = issue(plan);
    const toOther = give(other.id);
    const byOther = issue([...plan, toOther]);
    const third = { ...other, id: "third" as RubricId };
    const more = [byFirst, toOther, byOther, chief.write("frozen", { rubric: third })];
    const book = fold([...plan, ...more, chief.write("closed", {})] as AnyEntry[]);
    expect(verdictDoubt(book, mia)).toBe("rival");
    const back = give(rubric.id);
    expect(refusal(book, head, back)).toBeNull();
    expect(refusal(book, head, give(third.id))?.code).toBe("GRADING_CLOSED");
    const since = fold([...book.entries(), back]);
    expect(refusal(since, head, give(other.id))).toBeNull();
    const known = { ...since.basis } as Basis;
    const anew = chief.write("verdict", {
      ...{ candidate: mia, result: "pass", retestSections: [], computed: "incomplete", reason },
      ...{ basis: known, after: known },
    });
    expect(refusal(since, head, anew)).toBeNull();
    expect(verdictDoubt(fold([...since.entries(), anew as AnyEntry]), mia)).toBeUndefined();
  });

  it("[S217] an entry that names nobody leaves the name as it was, in whatever order they come", () => {
    const { plan, desk, rubric } = aDay();
    const details = aTextRef("side-2", "1");
    const given = aTextRef("side-3", "2");
    const of = { candidate: mia, rubric: rubric.id };
    const named = desk.write("entered", { ...of, number: 1, details, given });
    const bare = desk.write("entered", { ...of, number: 7 });
    for (const lines of [
      [named, bare],
      [bare, named],
    ]) {
      const book = fold([...plan, ...lines]);
      expect(book.plan.entrant(mia)).toMatchObject({ number: 7, details, given });
      expect(book.plan.entrants.find(({ candidate }) => candidate === mia)).toMatchObject({
        details,
      });
    }
    const other = aTextRef("side-4", "3");
    for (const [half, name] of [
      [{ given: other }, { details, given: other }],
      [{ details: other }, { details: other, given }],
    ] as const) {
      const one = desk.write("entered", { ...of, number: 7, ...half });
      for (const lines of [
        [named, one],
        [one, named],
      ])
        expect(fold([...plan, ...lines]).plan.entrant(mia)).toMatchObject(name);
    }
  });

  it("[S218] once a child was called or marked only the chief changes the number", () => {
    const { plan, desk, chief, judges, entered, rubric } = aDay();
    const call = chief.write("lined-up", { wave: 1, lanes: [mia] });
    const called = chief.write("called", {
      ...{ wave: 1, section: blocks, item: "rising-block" as ItemId, side: null },
    });
    const mark = aMark((judges[0] as (typeof judges)[number]).pen);
    expect(refusal(fold([...plan, call]), atDesk, entered(9, rubric.id))).toBeNull();
    for (const begun of [fold([...plan, call, called]), fold([...plan, mark])]) {
      const fault = refusal(begun, atDesk, entered(9, rubric.id, desk));
      expect(fault).toEqual({ code: "NUMBER_BEGUN", with: { candidate: mia, number: 1 } });
      expect(refusal(begun, atDesk, entered(1, rubric.id, desk))).toBeNull();
      expect(refusal(begun, head, entered(9, rubric.id, chief))).toBeNull();
    }
  });

  it("[S245] once called or marked, or after a verdict or the closing, only the chief gives another name", () => {
    const { plan, desk, chief, judges, entered, verdict, rubric } = aDay();
    const line = chief.write("lined-up", { wave: 1, lanes: [mia] });
    const called = chief.write("called", {
      ...{ wave: 1, section: blocks, item: "rising-block" as ItemId, side: null },
    });
    const mark = aMark((judges[0] as (typeof judges)[number]).pen);
    const named = (pen = desk) =>
      pen.write("entered", {
        ...{ candidate: mia, number: 1, rubric: rubric.id },
        details: aTextRef("side-2", "1"),
      });
    const given = (pen = desk) =>
      pen.write("entered", {
        ...{ candidate: mia, number: 1, rubric: rubric.id },
        given: aTextRef("side-3", "2"),
      });
    expect(refusal(fold(plan), atDesk, named())).toBeNull();
    const closing = chief.write("closed", { basis: {} });
    const begun = [[line, called], [mark], [verdict()], [closing]];
    for (const decided of begun.map((more) => fold([...plan, ...more])))
      for (const late of [named(), given()])
        for (const lamport of [1, closing.lamport, closing.lamport + 100]) {
          const fault = refusal(decided, atDesk, { ...late, lamport });
          expect(fault?.code).toMatch(/^(NAME_BEGUN|GRADING_CLOSED)$/);
        }
    const book = fold([...plan, verdict()]);
    expect(refusal(book, atDesk, entered(1, rubric.id, desk))).toBeNull();
    expect(refusal(book, head, named(chief))).toBeNull();
    // What the chief had when they decided comes again, to a hub that lost it.
    const had = named();
    const knowing = chief.write("verdict", {
      ...{ candidate: mia, result: "retest", computed: "retest", retestSections: [] },
      basis: { [had.device]: had.n },
    });
    expect(refusal(fold([...plan, knowing]), { ...atDesk, mayComeAgain: true }, had)).toBeNull();
  });

  it("[S231] nobody is entered under the id of somebody on the panel, whom erasing the child would erase", () => {
    const { plan, desk, judges, rubric } = aDay();
    for (const id of ["chief", judges[0]?.person, judges[1]?.person]) {
      const candidate = id as string as CandidateId;
      const line = desk.write("entered", { candidate, number: 88, rubric: rubric.id });
      expect(refusal(fold(plan), atDesk, line)?.code).toBe("ENTRY_MALFORMED");
      expect(refusal(fold(plan), head, { ...line, by: head.person })?.code).toBe("ENTRY_MALFORMED");
    }
  });

  it("[S202] an excuse, and a word that a judge steps back, name what the child's rubric asks, also where they say to be older than the child", () => {
    const { plan, excuse, judges } = aDay();
    const first = judges[0] as (typeof judges)[number];
    const asJudge = { person: first.person, roles: ["judge" as const] };
    const book = fold(plan);
    const back = (section: string) => ({
      ...first.pen.write("recused", { candidate: mia, section: section as SectionId }),
      lamport: 1,
    });
    expect(refusal(book, asJudge, back("nope"))?.code).toBe("ITEM_UNKNOWN");
    expect(refusal(book, asJudge, back("blocks"))?.code).not.toBe("ITEM_UNKNOWN");
    const old = { ...excuse(aPen("desk", "desk-5"), "nope"), lamport: 1 };
    expect(refusal(book, atDesk, old)?.code).toBe("ITEM_UNKNOWN");
  });

  it("[S202] an excuse names what the child's rubric asks, where it asks it", () => {
    const { plan, chief, excuse } = aDay();
    const code = (section: string, item: string) =>
      refusal(fold(plan), head, excuse(chief, section, item))?.code;
    expect(code("nope", "rising-block")).toBe("ITEM_UNKNOWN");
    expect(code("blocks", "nope")).toBe("ITEM_UNKNOWN");
    expect(code("blocks", "rising-block")).toBeUndefined();
  });

  it("[S203] no other rubric from the desk once marked or called, no number of another", () => {
    const { plan, desk, chief, judges, entered, rubric } = aDay();
    const book = fold(plan);
    expect(refusal(book, atDesk, entered(1, other.id))).toBeNull();
    expect(refusal(book, atDesk, entered(2, rubric.id))?.code).toBe("NUMBER_TAKEN");
    expect(refusal(book, atDesk, entered(9, rubric.id))).toBeNull();
    const marked = fold([...plan, aMark((judges[0] as (typeof judges)[number]).pen)]);
    desk.hear(200);
    expect(refusal(marked, atDesk, entered(1, other.id))?.code).toBe("RUBRIC_BEGUN");
    chief.hear(300);
    expect(refusal(marked, head, entered(2, rubric.id, chief))?.code).toBe("NUMBER_TAKEN");
  });

  it("[S204] a recusal said again moves nothing, and thousands cost nothing", () => {
    const { plan, judges } = aDay();
    const [first, second] = judges as [(typeof judges)[number], (typeof judges)[number]];
    const step = (section: string) =>
      second.pen.write("recused", { candidate: mia, section: section as SectionId });
    const book = fold([...plan, aMark(first.pen), step("blocks")]);
    const version = book.planVersion;
    const judge = { person: second.person, roles: ["judge"] as const };
    const lines = Array.from({ length: 5000 }, () => step("blocks"));
    const from = performance.now();
    for (const again of lines) {
      if (refusal(book, judge, again)) throw new Error("refused");
      book.add(again);
      book.openings.openedAt(mia, blocks);
    }
    const took = performance.now() - from;
    expect(book.planVersion).toBe(version);
    expect(book.panel.isRecused(second.person, mia, blocks)).toBe(true);
    expect(refusal(book, judge, step("nope"))?.code).toBe("ITEM_UNKNOWN");
    expect(took).toBeLessThan(2000);
  });
});
