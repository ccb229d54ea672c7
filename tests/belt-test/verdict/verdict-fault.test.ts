import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { sheetInputOf } from "../../../src/belt-test/feedback/sheet-input.ts";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { refusalOfNew } from "../../../src/belt-test/intake/refusal-of-new.ts";
import { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import { assignedPlaces } from "../../../src/belt-test/scorebook/assigned-places.ts";
import type { EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import { countOf } from "../../../src/belt-test/scorebook/place-counts.ts";
import type { Rules } from "../../../src/belt-test/scorebook/rules.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import { computedByWholePlan } from "../../../src/belt-test/verdict/by-whole-plan.ts";
import { caseOf } from "../../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { hindrances } from "../../../src/belt-test/verdict/question-queue.ts";
import { doubtedVerdicts, verdictDoubt } from "../../../src/belt-test/verdict/verdict-doubt.ts";
import type { Basis } from "../../../src/book/counts.ts";
import { deviceOf } from "../../../src/book/counts.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { DeviceId } from "../../../src/book/identity.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId, aTextRef } from "../../builders/an-id.ts";
import { shippedFaultLibrary } from "../../builders/shipped-rubrics.ts";

const library = FaultLibrary.parse(shippedFaultLibrary);
const mia = "candidate-1" as CandidateId;
const blocks = "blocks" as SectionId;
const reason = aTextRef("side-1");
const chief = { person: anId("chief"), roles: ["chief"] as const };
type Verdict = Partial<EntryBody<"verdict">>;

/** Two judges, and what each gives in chamber of the low block: the rest meets. */
function aDay([first, second]: readonly [number, number] = [3, 3], rules?: Rules) {
  const day = aTestDay({ judges: 2, candidates: 2, ...(rules ? { rules } : {}) });
  const { entries } = aMarkedDay({
    day,
    levelOf: (_, { section, criterion }, judge) =>
      section === "etiquette"
        ? 2
        : criterion === "chamber" || criterion === "target"
          ? judge === "judge-1"
            ? first
            : second
          : 3,
  });
  const book = fold(entries);
  day.chief.hear(book.lamport);
  return { ...day, entries, book, found: outcome(caseOf(book, mia)) };
}
/** Three judges, of whom one gives this level; `without` is what a chief had who was never told of that one's watches. */
function aStrictDay(
  level: number,
  strict = "judge-3",
  locks: (judge: string) => boolean = () => true,
) {
  const day = aTestDay({ judges: 3, candidates: 2 });
  const { entries } = aMarkedDay({
    day,
    levelOf: (_, { section }, judge) =>
      judge === strict ? level : section === "etiquette" ? 2 : 3,
    locks,
  });
  const book = fold(entries);
  day.chief.hear(book.lamport);
  const isTheirs = ({ kind, body }: AnyEntry) =>
    kind === "assigned" && (body as EntryBody<"assigned">).judge === strict;
  const first = day.plan.find(isTheirs) as AnyEntry;
  const without = Object.fromEntries(
    Object.entries(book.basis).flatMap(([count, n]) =>
      deviceOf(count) === `${strict}-tablet`
        ? []
        : [[count, count === first.device ? first.n - 1 : n]],
    ),
  ) as Basis;
  return { ...day, entries, book, without, found: outcome(caseOf(book, mia)) };
}
const verdictOf = (
  { chief: pen, book, found }: Pick<ReturnType<typeof aDay>, "chief" | "book" | "found">,
  more: Verdict = {},
) => {
  const { computed, retestSections } = found;
  const result = computed === "pass" ? ("pass" as const) : ("retest" as const);
  const body = { candidate: mia, result, computed, retestSections: [...retestSections] };
  return pen.write("verdict", { ...body, basis: book.basis, ...more });
};
const answer = (book: Scorebook, entry: AnyEntry) => refusalOfNew(book, chief, entry)?.code;
const lies: Verdict = { computed: "pass", result: "pass", retestSections: [] };
const sheetOfMia = (entries: readonly AnyEntry[]) => {
  const book = fold(entries);
  return sheetInputOf(book, mia, outcome(caseOf(book, mia)), library);
};
const levels = fc.tuple(fc.integer({ min: 1, max: 4 }), fc.integer({ min: 1, max: 4 }));

describe("a verdict that comes in", () => {
  it("[V110] says what the marks come to, or is not taken, with a reason or without", () => {
    fc.assert(
      fc.property(levels, (given) => {
        const day = aDay(given);
        const other = day.found.computed === "pass" ? "retest" : "pass";
        expect(answer(day.book, verdictOf(day, { reason }))).toBeUndefined();
        const lies: Verdict = { computed: other, result: other };
        expect(answer(day.book, verdictOf(day, lies))).toBe("COMPUTED_OTHER");
        expect(answer(day.book, verdictOf(day, { ...lies, reason }))).toBe("COMPUTED_OTHER");
        // Of nothing nothing is computed.
        const ofNothing = { basis: {} as Basis, reason };
        expect(answer(day.book, verdictOf(day, ofNothing))).toBe("COMPUTED_OTHER");
      }),
    );
  });

  it("[V114] that stands in a book and is not what its marks come to is named with what they come to; a right one is not", () => {
    fc.assert(
      fc.property(levels, fc.boolean(), (given, isReasoned) => {
        const day = aDay(given);
        const { computed } = day.found;
        const other = computed === "pass" ? "retest" : "pass";
        const named = (more: Verdict) =>
          doubtedVerdicts(fold([...day.entries, verdictOf(day, more)]));
        const its = { candidate: mia, number: 1, computed, doubt: "unreasoned" };
        const kept = isReasoned ? { reason } : {};
        expect(named(kept)).toEqual([]);
        const lie = { result: other, computed: other } as const;
        expect(named({ ...lie, ...kept })).toEqual([{ ...its, result: other }]);
        expect(named({ result: other, ...kept })).toEqual(
          isReasoned ? [] : [{ ...its, result: other }],
        );
        const ofNothing = { result: "pass", computed: "pass", basis: {} as Basis } as const;
        expect(named({ ...ofNothing, ...kept })).toEqual([
          { ...its, result: "pass", computed: "incomplete" },
        ]);
      }),
    );
  });

  it("[V111] needs a reason where its result or its sections are others, or a question is open that could change it", () => {
    const asked = new Set<string | undefined>();
    fc.assert(
      fc.property(levels, (given) => {
        const day = aDay(given);
        const other: Verdict =
          day.found.computed === "pass"
            ? { result: "retest", retestSections: [blocks] }
            : { result: "pass", retestSections: [] };
        expect(answer(day.book, verdictOf(day, other))).toBe("REASON_MISSING");
        const more = [...day.rubric.sections.map(({ id }) => id)];
        const isMore = day.found.computed === "retest" && more.length > 1;
        if (isMore && day.found.retestSections.length < more.length)
          expect(answer(day.book, verdictOf(day, { retestSections: more }))).toBe("REASON_MISSING");
        const plain = answer(day.book, verdictOf(day));
        asked.add(plain);
        expect(plain).toBe(hindrances(day.found).length > 0 ? "QUESTION_OPEN" : undefined);
      }),
      { examples: [[[3, 3]], [[1, 4]]] },
    );
    expect([...asked].sort()).toEqual(["QUESTION_OPEN", undefined]);
  });

  it("[V112] is judged by what its writer had: what came to the hub before it and not to the writer changes nothing", () => {
    fc.assert(
      fc.property(levels, fc.integer({ min: 1, max: 4 }), (given, later) => {
        const day = aDay(given);
        const clear = hindrances(day.found).length === 0;
        const verdict = verdictOf(day, clear ? {} : { reason });
        const [judge] = day.judges;
        if (!judge) throw new Error("no judge");
        const late = aMark(judge.pen, { item: "low-block", side: null, level: later });
        const question = `late/judge-1/blocks`;
        const elsewhere = { ...day.chief, device: "chief-phone" };
        const settled = {
          ...day.chief.write("review-settled", {
            ...{ question, candidate: mia, decision: "late-counts", reason },
          }),
          device: anId(elsewhere.device),
          n: 1,
        };
        const book = fold([...day.entries, late, settled]);
        expect(answer(book, verdict)).toBeUndefined();
      }),
    );
  });

  it("[V112] is taken by a hub that lacks what it rests on, and by a book of the first rules", () => {
    const day = aDay([1, 1]);
    const behind = fold(day.entries.filter(({ device }) => deviceOf(device) !== "judge-2-tablet"));
    expect(answer(day.book, verdictOf(day, lies))).toBe("COMPUTED_OTHER");
    expect(answer(behind, verdictOf(day, lies))).toBeUndefined();
    const old = aDay([1, 1], 1);
    expect(answer(old.book, verdictOf(old, lies))).toBeUndefined();
  });

  it("[V126] that rests on what is not here is doubted until it comes, and then reckoned; no sheet is made of it meanwhile", () => {
    for (const [given, then] of [
      [[3, 3], undefined],
      [[1, 1], "unreasoned"],
    ] as const) {
      const day = aDay([...given]);
      const verdict = verdictOf(day, lies);
      const isOfSecond = ({ device }: AnyEntry) => deviceOf(device) === "judge-2-tablet";
      const behind = [...day.entries.filter((entry) => !isOfSecond(entry)), verdict];
      expect(verdictDoubt(fold(behind), mia)).toBe("not-here");
      expect(sheetOfMia(behind)).toBeUndefined();
      const whole = [...behind, ...day.entries.filter(isOfSecond)];
      expect(verdictDoubt(fold(whole), mia)).toBe(then);
      expect(sheetOfMia(whole) === undefined).toBe(then !== undefined);
    }
  });

  it("[V126] over a count that nobody ever wrote is doubted for good, with a reason too, until it is issued anew", () => {
    const day = aDay([1, 1]);
    const basis = { ...day.book.basis, "no-tablet": 1 } as Basis;
    const invented = verdictOf(day, { ...lies, basis, reason });
    expect(verdictDoubt(fold([...day.entries, invented]), mia)).toBe("not-here");
    const anew = verdictOf(day, { reason });
    expect(verdictDoubt(fold([...day.entries, invented, anew]), mia)).toBeUndefined();
  });

  it("[V135] whose basis leaves a judge's watch out is doubted where that judge's word makes it another, whatever logical time it bears", () => {
    for (const level of [1, 3]) {
      const day = aStrictDay(level);
      const without = verdictOf(day, { ...lies, basis: day.without });
      expect(answer(day.book, verdictOf(day, lies))).toBe(
        level === 1 ? "COMPUTED_OTHER" : undefined,
      );
      expect(answer(day.book, without)).toBeUndefined();
      for (const lamport of [without.lamport, 4, 900]) {
        const issued = [...day.entries, { ...without, lamport }];
        const its = level === 1 ? { doubt: "unreasoned", computed: "retest" } : undefined;
        expect(doubtedVerdicts(fold(issued))).toMatchObject(its ? [its] : []);
        expect(doubtedVerdicts(fold(issued.toReversed()))).toMatchObject(its ? [its] : []);
        expect(sheetOfMia(issued) === undefined).toBe(level === 1);
      }
      expect(verdictDoubt(fold([...day.entries, verdictOf(day, { reason })]), mia)).toBeUndefined();
    }
  });

  it("[V133] is doubted for another rubric, whether its writer could know of it or not, and whatever that one comes to", () => {
    const day = aStrictDay(3);
    const other = { ...day.rubric, id: anId("other") };
    const hard = { ...other, pass: { ...other.pass, mark: 100 } };
    const second = aPen("chief", "second-tablet");
    second.hear(day.book.lamport);
    const enter = (rubric: typeof other) => [
      second.write("frozen", { rubric }),
      second.write("entered", { candidate: mia, number: 1, rubric: other.id, reason }),
    ];
    const at = (lines: AnyEntry[], lamport: number) => lines.map((line) => ({ ...line, lamport }));
    const verdict = verdictOf(day, lies);
    const doubt = (lines: AnyEntry[]) =>
      verdictDoubt(fold([...day.entries, verdict, ...lines]), mia);
    for (const [rubric, lamport] of [
      [hard, verdict.lamport + 1],
      [other, verdict.lamport - 1],
      [hard, verdict.lamport - 1],
    ] as const)
      expect(doubt(at(enter(rubric), lamport))).toBe("other-rubric");
  });

  it("[V127] comes to the same with all of the plan whatever is locked where the marks are closed, also where a watch is not told of", () => {
    const found = [1, 3].map((level) => {
      const day = aStrictDay(level, "judge-1", (judge) => judge !== "judge-3");
      const watch = (judge: string) =>
        day.plan.find(({ body }) => (body as { judge?: string }).judge === judge) as AnyEntry;
      const basis = { [day.chief.device]: watch("judge-1").n - 1 } as Basis;
      const verdict = verdictOf(day, { ...lies, basis });
      return computedByWholePlan(day.book, { ...verdict, lamport: watch("judge-3").lamport });
    });
    expect(found).toEqual(["incomplete", "incomplete"]);
  });

  it("[V127] is answered alike whatever is held of marks that are closed", () => {
    const day = aTestDay({ judges: 2, candidates: 2 });
    const [one, other] = day.judges;
    if (!one || !other) throw new Error("two judges");
    const section = blocks;
    const count = countOf("judge-2-tablet" as DeviceId, { candidate: mia, section });
    const tap = () => aMark(other.pen, { item: "low-block", side: null, level: 3 });
    const books = [0, 1, 5].map((taps) =>
      fold([...day.plan, ...Array.from({ length: taps }, tap)]),
    );
    for (const named of [1, 3, 9])
      for (const more of [{}, { reason }, { computed: "incomplete" as const }]) {
        const said = books.map((book) => {
          const basis = { ...fold(day.plan).basis, [count]: named } as Basis;
          const verdict = { ...lies, candidate: mia, basis, ...more } as EntryBody<"verdict">;
          const entry = { ...day.chief.write("verdict", verdict), n: 1_000, lamport: 1_000 };
          return [answer(book, entry), verdictDoubt(fold([...book.entries(), entry]), mia)];
        });
        expect(new Set(said.map((each) => JSON.stringify(each))).size).toBe(1);
      }
  });

  // A stranger's second chief entered a child by small rubrics of one cell each and then by another, and asked of each what a closed mark comes to.
  it("[V127] is answered alike by whichever rubric the child was entered when its basis was written", () => {
    const answers = [1, 4].map((level) => {
      const day = aTestDay({ judges: 2 });
      const [judge] = day.judges;
      if (!judge) throw new Error("a judge");
      const { sections, ...rest } = day.rubric;
      const blocksAlone = sections.filter(({ id }) => id === blocks);
      const others = sections.filter(({ id }) => id !== blocks);
      const small = { ...rest, id: anId("small"), panel: { ...rest.panel, quorum: 1 } };
      const pen = aPen("chief", "second-tablet");
      pen.hear(day.plan.length);
      const cells = assignedPlaces(fold(day.plan), judge.person, mia, blocks);
      const known = [
        ...day.plan,
        ...cells.map((cell) => aMark(judge.pen, { ...cell, candidate: mia, level })),
      ];
      const lock = aLock(judge, blocks, [mia], known as AnyEntry[]);
      const enter = (rubric: string) =>
        pen.write("entered", { candidate: mia, number: 1, rubric: anId(rubric) });
      const frozen = [
        pen.write("frozen", { rubric: { ...small, sections: blocksAlone } }),
        pen.write("frozen", { rubric: { ...small, id: anId("other"), sections: others } }),
      ];
      const entered = enter("small");
      const first = day.plan.findLast(
        ({ kind, body }) =>
          kind === "assigned" && (body as EntryBody<"assigned">).judge === judge.person,
      );
      const book = fold([...known, ...lock, ...frozen, entered, enter("other")] as AnyEntry[]);
      const mark = lock.at(-1) as AnyEntry;
      const basis = {
        [day.chief.device]: first?.n,
        [pen.device]: entered.n,
        [mark.device]: mark.n,
      } as Basis;
      return answer(
        book,
        verdictOf(
          { chief: pen, book, found: { computed: "pass", retestSections: [] } as never },
          { ...lies, basis },
        ),
      );
    });
    expect(new Set(answers).size).toBe(1);
  });

  it("[V113] is taken with a reason where something that its writer wrote before was not", () => {
    const day = aDay([1, 1]);
    const lost = day.chief.write("review-settled", {
      ...{ question: "x", candidate: mia, decision: "stands", reason },
    });
    const basis = { ...day.book.basis, [lost.device]: lost.n } as Basis;
    const before: Verdict = { computed: "pass", result: "pass", retestSections: [], basis };
    expect(answer(day.book, verdictOf(day, { ...before, reason }))).toBeUndefined();
    expect(answer(day.book, verdictOf(day, before))).toBe("COMPUTED_OTHER");
    expect(answer(fold([...day.entries, lost]), verdictOf(day, { ...before, reason }))).toBe(
      "COMPUTED_OTHER",
    );
  });

  it("[V113] says “incomplete”, with a reason, of what its writer was not sent yet", () => {
    const day = aDay();
    const early: Verdict = { computed: "incomplete", result: "pass", retestSections: [] };
    expect(answer(day.book, verdictOf(day, { ...early, reason }))).toBeUndefined();
    expect(answer(day.book, verdictOf(day, early))).toBe("REASON_MISSING");
  });

  it("[V113] is not asked why a child is away who withdrew, since nobody can tell whether its writer knew", () => {
    const day = aDay();
    const verdict = verdictOf(day);
    const left = day.judges[0]?.pen.write("withdrawn", { candidate: mia, why: "unwell" });
    expect(answer(fold([...day.entries, left as AnyEntry]), verdict)).toBeUndefined();
    const absent = day.chief.write("absent", { candidate: mia });
    const book = fold([...day.entries, absent]);
    const known = verdictOf({ ...day, book });
    expect(answer(book, known)).toBe("REASON_MISSING");
  });
});
