import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  FaultId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import type { EntryOf } from "../../../src/belt-test/scorebook/entry.ts";
import { lateQuestion } from "../../../src/belt-test/scorebook/marks.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import { heldOf } from "../../../src/belt-test/scorebook/what-was-held.ts";
import type { Basis } from "../../../src/book/counts.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { EntryId, PersonId, SideRecordId } from "../../../src/book/identity.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";

const blocks = "blocks" as SectionId;
const reason = { id: "why" as SideRecordId, digest: "0".repeat(64) };
const asJudge = (person: PersonId) => ({ person, roles: ["judge" as const] });
const asChief = { person: "chief" as PersonId, roles: ["chief" as const] };

type Judge = TestDay["judges"][number];
interface Played {
  day: TestDay;
  first: Judge;
  second: Judge;
  mia: CandidateId;
  book: Scorebook;
  lock: EntryOf<"locked">;
}

/** Two judges, of whom both have marked and locked the first child; the first judge marked a 2. */
function bothLocked(candidates = 1): Played {
  const day = aTestDay({ judges: 2, candidates });
  const [first, second] = day.judges;
  const [mia] = day.candidates;
  if (!first || !second || !mia) throw new Error("two judges and a child");
  const book = fold([...day.plan, aMark(first.pen, { level: 2 })]);
  let lock: EntryOf<"locked"> | undefined;
  for (const judge of [first, second])
    for (const entry of aLock(judge, blocks, [mia], [...book.entries()])) {
      book.add(entry);
      if (entry.kind === "locked" && judge === first) lock = entry;
    }
  if (!lock) throw new Error("a lock");
  return { day, first, second, mia, book, lock };
}

const chamberOf = (book: Scorebook, mia: CandidateId, as: "lock" | "verdict", judge: PersonId) =>
  book.marks
    .of(mia, as)
    .find(
      (mark) =>
        mark.judge === judge &&
        mark.item === "rising-block" &&
        mark.side === "left" &&
        mark.criterion === "chamber",
    )?.level;

const aRequest = (chief: TestDay["chief"], judge: PersonId, candidate: CandidateId) =>
  chief.write("remark-asked", {
    judge,
    candidate,
    section: blocks,
    item: "rising-block" as ItemId,
    side: "left",
    criterion: null,
    ask: "talk",
  });
const answering = (mark: EntryOf<"mark">, request: EntryId): EntryOf<"mark"> => ({
  ...mark,
  body: { ...mark.body, answers: request },
});

describe("what stood at the lock", () => {
  it("[S28] is the same whatever the judge writes after it, with any logical time, from any device", () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            lamport: fc.integer({ min: 1, max: 400 }),
            level: fc.integer({ min: 1, max: 4 }),
            isElsewhere: fc.boolean(),
            isLock: fc.boolean(),
          }),
          { minLength: 1, maxLength: 8 },
        ),
        (tries) => {
          const { book, first, mia, lock } = bothLocked();
          const stood = JSON.stringify([book.marks.of(mia, "lock"), book.marks.of(mia, "verdict")]);
          const spare = aPen(first.person, "judge-1-spare");
          for (const { lamport, level, isElsewhere, isLock } of tries) {
            const pen = isElsewhere ? spare : first.pen;
            const entry = isLock
              ? reaching(pen.write("locked", lock.body), 99)
              : aMark(pen, { level });
            const forged = { ...entry, lamport } as AnyEntry;
            if (refusal(book, asJudge(first.person), forged) === null) book.add(forged);
          }
          expect(JSON.stringify([book.marks.of(mia, "lock"), book.marks.of(mia, "verdict")])).toBe(
            stood,
          );
        },
      ),
    );
  });

  it("[S160] what a judge saw go wrong lies under the lock too: no word after it changes what stands", () => {
    const { book, first, second, mia } = bothLocked();
    const place = { section: blocks, side: "left" as const, criterion: "chamber" as CriterionId };
    const says = (judge: Judge, faults: string[], item = "rising-block") =>
      judge.pen.write("faults", {
        ...place,
        candidate: mia,
        item: item as ItemId,
        faults: faults as FaultId[],
      });
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [mine, other] = day.judges;
    if (!mine || !other) throw new Error("two judges");
    const own = fold([...day.plan, aMark(mine.pen, { level: 2 }), says(mine, ["before"])]);
    expect(refusal(own, asJudge(mine.person), says(mine, [], "no-item"))?.code).toBe(
      "ITEM_UNKNOWN",
    );
    for (const entry of aLock(mine, blocks, [mia], [...own.entries()])) own.add(entry);
    const late = says(mine, ["after"]);
    expect(refusal(own, asJudge(mine.person), late)?.code).toBe("ALREADY_LOCKED");
    own.add(late);
    expect(own.marks.faultsOf(mia).map(({ faults }) => faults)).toEqual([["before"]]);
    // And after the reveal, where nothing had been said.
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    for (const judge of [first, second]) book.add(says(judge, ["after"]));
    expect(book.marks.faultsOf(mia)).toEqual([]);
    expect(
      book.marks.faults(first.person, mia, { ...place, item: "rising-block" as ItemId }),
    ).toEqual([]);
  });

  it("[S28] takes no entry whose place in the count the lock has passed over", () => {
    const { book, first, lock } = bothLocked();
    const skipped = { ...aMark(first.pen), n: lock.n - 1, id: "other" as EntryId };
    expect(refusal(book, asJudge(first.person), skipped)?.code).toBe("ALREADY_LOCKED");
  });

  it("[S29] takes one lock of a judge, child and section, that speaks of exactly what its device wrote before it", () => {
    const { day, first, mia, book, lock } = bothLocked(2);
    const other = day.candidates[1] as CandidateId;
    const again = first.pen.write("locked", lock.body);
    expect(refusal(book, asJudge(first.person), again)?.code).toBe("ALREADY_LOCKED");
    const rest = aLock(first, blocks, [other], [...book.entries()]);
    const good = rest.at(-1) as EntryOf<"locked">;
    for (const entry of rest.slice(0, -1)) book.add(entry);
    const withBasis = (basis: Record<string, number>) =>
      refusal(book, asJudge(first.person), { ...good, body: { ...good.body, basis } } as AnyEntry)
        ?.code;
    expect(withBasis({ [good.device]: good.n - 1 })).toBeUndefined();
    expect(withBasis({ [good.device]: good.n })).toBe("BASIS_WRONG");
    expect(withBasis({ [good.device]: good.n - 2 })).toBe("BASIS_WRONG");
    expect(withBasis({ [good.device]: good.n - 1, spare: 1 })).toBe("BASIS_WRONG");
    const several = { ...good, body: { ...good.body, candidates: day.candidates } };
    expect(refusal(book, asJudge(first.person), several as AnyEntry)?.code).toBe("ALREADY_LOCKED");
    expect(mia).not.toBe(other);
  });

  it("[S29] takes no lock that says to be older than the plan of who marks there", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first] = day.judges as [Judge, Judge];
    const mia = day.candidates[0] as CandidateId;
    const rest = aLock(first, blocks, [mia], day.plan);
    const book = fold([...day.plan, ...(rest.slice(0, -1) as AnyEntry[])]);
    const lock = rest.at(-1) as AnyEntry;
    expect(refusal(book, asJudge(first.person), lock)).toBeNull();
    const old = { ...lock, lamport: 1 };
    expect(refusal(book, asJudge(first.person), old)?.code).toBe("PLAN_OLDER");
  });

  it("[S30] of two locks that got in, only what stands the same in both counts, until the chief says otherwise", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [judge] = day.judges as [Judge, Judge];
    const mia = day.candidates[0] as CandidateId;
    const one = aMark(judge.pen, { level: 2 });
    const same = aMark(judge.pen, { level: 3, criterion: "target" });
    const lock = judge.pen.write("locked", {
      section: blocks,
      candidates: [mia],
      basis: {},
    });
    const spare = aPen(judge.person, "judge-1-spare");
    spare.hear(lock.lamport);
    const two = aMark(spare, { level: 4 });
    const other = spare.write("locked", {
      section: blocks,
      candidates: [mia],
      basis: { [one.device]: 2 },
    });
    const book = fold([...day.plan, one, same, lock, two, other]);
    expect(chamberOf(book, mia, "lock", judge.person)).toBeUndefined();
    expect(book.marks.of(mia, "lock").map(({ criterion }) => criterion)).toEqual(["target"]);
    expect(book.marks.late(mia).map(({ place }) => place.criterion)).toEqual(["chamber"]);
  });
});

describe("open stays open", () => {
  it("[S31] whoever is assigned, replaced or steps back after it", () => {
    const { day, first, mia, book } = bothLocked();
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    const opened = book.openings.openedAt(mia, blocks);
    const late = "judge-9" as PersonId;
    book.add(day.chief.write("seated", { person: late, roles: ["judge"] }) as AnyEntry);
    const added = day.chief.write("assigned", { judge: late, section: blocks, candidates: [mia] });
    // The hub takes no such thing; whoever has it all the same reads the same.
    day.chief.hear(book.lamport);
    expect(refusal(book, asChief, added)?.code).toBe("SECTION_OPEN");
    for (const entry of [
      day.chief.write("assigned", { judge: late, section: blocks, candidates: [mia] }),
      day.chief.write("judge-replaced", { judge: first.person, by: late }),
      first.pen.write("recused", { candidate: mia, section: null }),
    ])
      book.add(entry as AnyEntry);
    expect(book.openings.openedAt(mia, blocks)).toBe(opened);
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(2);
  });

  it("[S6] a child who left asks for no lock of anybody else's, and closing opens what nobody locked", () => {
    const { day, mia, book } = bothLocked(2);
    const other = day.candidates[1] as CandidateId;
    book.add(day.chief.write("withdrawn", { candidate: other, why: "unwell" }) as AnyEntry);
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    expect(book.openings.isRevealed(other, blocks)).toBe(false);
    day.chief.hear(book.lamport);
    book.add(day.chief.write("closed", {}) as AnyEntry);
    expect(book.openings.isRevealed(other, blocks)).toBe(true);
  });

  it("[S32] where the chief opens without a judge, or gives the place to another, what the hub held of that judge counts and what comes later is late", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [Judge, Judge];
    const mia = day.candidates[0] as CandidateId;
    const mark = aMark(first.pen, { level: 2 });
    const book = fold([...day.plan, mark]);
    for (const entry of aLock(second, blocks, [mia], [...book.entries()])) book.add(entry);
    const opened = day.chief.write("revealed", { section: blocks, candidates: [mia], reason });
    const held = aPen("hub", "hub").write("held", {
      of: opened.id,
      judge: first.person,
      candidate: mia,
      section: blocks,
      basis: { [mark.device]: mark.n },
    });
    for (const entry of [opened, held]) book.add(entry as AnyEntry);
    expect(chamberOf(book, mia, "lock", first.person)).toBe(2);
    // The lost tablet comes back, with marks and a lock of earlier logical time.
    const later = { ...aMark(first.pen, { level: 4 }), lamport: mark.lamport };
    book.add(later);
    book.add(
      first.pen.write("locked", {
        section: blocks,
        candidates: [mia],
        basis: {},
      }) as AnyEntry,
    );
    expect(chamberOf(book, mia, "lock", first.person)).toBe(2);
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(2);
    expect(book.marks.late(mia).map(({ judge }) => judge)).toContain(first.person);
    book.add(
      day.chief.write("review-settled", {
        question: lateQuestion(first.person, blocks),
        candidate: mia,
        decision: "late-counts",
        reason,
      }) as AnyEntry,
    );
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(4);
    expect(chamberOf(book, mia, "lock", first.person)).toBe(2);
  });

  it("[S33] a successor is asked for what the predecessor left blank, and either's word on a cell counts once", () => {
    const day = aTestDay({ judges: 1, candidates: 1 });
    const [first] = day.judges as [Judge];
    const mia = day.candidates[0] as CandidateId;
    const second = { person: "judge-9" as PersonId, pen: aPen("judge-9") };
    second.pen.hear(100);
    const mark = aMark(first.pen, { level: 2 });
    const replaced = day.chief.write("judge-replaced", { judge: first.person, by: second.person });
    const held = aPen("hub", "hub").write("held", {
      of: replaced.id,
      judge: first.person,
      candidate: mia,
      section: blocks,
      basis: { [mark.device]: mark.n },
    });
    const known = [...day.plan, mark, replaced, held] as AnyEntry[];
    const [skipped, ...rest] = aLock(second, blocks, [mia], known);
    expect(skipped?.kind).toBe("mark");
    const lock = rest.at(-1) as EntryOf<"locked">;
    // All but the cell that the first one had marked; the lock speaks of one fewer.
    const others = rest.slice(0, -1).map((entry, at) => ({ ...entry, n: at + 1 }));
    const short = {
      ...lock,
      n: others.length + 1,
      body: { ...lock.body, basis: { [lock.device]: others.length } },
    };
    const book = fold([...known, ...(others as AnyEntry[])]);
    expect(refusal(book, asJudge(second.person), short as AnyEntry)).toBeNull();
    book.add(short as AnyEntry);
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(2);
    // Had the second marked it too, the second's word stands in its place.
    const both = fold([...known, aMark(second.pen, { level: 4 }), ...(others as AnyEntry[])]);
    expect(
      both.marks
        .of(mia, "now")
        .filter(({ criterion, item }) => criterion === "chamber" && item === "rising-block").length,
    ).toBeGreaterThan(0);
  });
});

/** The chief issues a pass by all that is here. */
function aPass({ chief }: TestDay, candidate: CandidateId, book: Scorebook): void {
  chief.hear(book.lamport);
  const pass = { candidate, result: "pass" as const, computed: "pass" as const };
  const basis = heldOf(book, candidate);
  book.add(chief.write("verdict", { ...pass, retestSections: [], basis }) as AnyEntry);
}

describe("looking again", () => {
  it("[S34] counts for the verdict where it answers a request that names the cell, until the judge says to have looked", () => {
    const { day, first, mia, book } = bothLocked();
    day.chief.hear(book.lamport);
    const plain = aMark(first.pen, { level: 4 });
    expect(refusal(book, asJudge(first.person), plain)).toBeNull();
    book.add(plain);
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(2);
    expect(book.marks.late(mia).length).toBe(1);
    const request = aRequest(day.chief, first.person, mia);
    book.add(request as AnyEntry);
    expect(book.requests.openTo(first.person).map(({ id }) => id)).toEqual([request.id]);
    book.add(answering(aMark(first.pen, { level: 3 }), request.id));
    book.add(answering(aMark(first.pen, { level: 1, side: "right" }), request.id));
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(3);
    expect(chamberOf(book, mia, "lock", first.person)).toBe(2);
    const done = first.pen.write("answered", {
      request: request.id,
      candidate: mia,
      section: blocks,
      basis: {},
    });
    // Places skipped in this test were never handed in, so the count is the pen's.
    expect(refusal(book, asJudge(first.person), done as AnyEntry)).toBeNull();
    book.add(done as AnyEntry);
    expect(book.requests.openTo(first.person)).toEqual([]);
    book.add(answering(aMark(first.pen, { level: 1 }), request.id));
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(3);
    const twice = first.pen.write("answered", done.body);
    expect(refusal(book, asJudge(first.person), twice as AnyEntry)?.code).toBe("REQUEST_ANSWERED");
    const stolen = aPen("judge-2").write("answered", done.body);
    expect(refusal(book, asJudge("judge-2" as PersonId), stolen as AnyEntry)?.code).toBe(
      "REQUEST_OTHER",
    );
  });

  it("[S35] never changes by itself what a verdict was issued by", () => {
    const { day, first, mia, book } = bothLocked();
    day.chief.hear(book.lamport);
    const request = aRequest(day.chief, first.person, mia);
    book.add(request as AnyEntry);
    const verdict = day.chief.write("verdict", {
      candidate: mia,
      result: "pass",
      computed: "pass",
      retestSections: [],
      basis: book.basis,
    });
    book.add(verdict as AnyEntry);
    book.add(answering(aMark(first.pen, { level: 4 }), request.id));
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(2);
    expect(book.marks.late(mia).length).toBe(1);
    expect(book.requests.openTo(first.person)).toEqual([]);
  });

  // A stranger's chief refused a late re-mark with a reason, and it counted in silence once the next verdict was issued.
  it("[S285] is counted by no verdict behind one that it came after, but by the chief's word alone", () => {
    const { day, first, mia, book } = bothLocked();
    day.chief.hear(book.lamport);
    const request = aRequest(day.chief, first.person, mia);
    book.add(request as AnyEntry);
    const issue = () => aPass(day, mia, book);
    issue();
    book.add(answering(aMark(first.pen, { level: 4 }), request.id));
    issue();
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(2);
    expect(book.marks.late(mia).length).toBe(1);
    const question = lateQuestion(first.person, blocks);
    for (const [decision, level] of [
      ["late-refused", 2],
      ["late-counts", 4],
    ] as const) {
      const body = { question, candidate: mia, decision, reason, basis: heldOf(book, mia) };
      day.chief.hear(book.lamport);
      book.add(day.chief.write("review-settled", body) as AnyEntry);
      issue();
      expect(chamberOf(book, mia, "verdict", first.person)).toBe(level);
    }
  });

  // A stranger's judge took the re-mark out of a released verdict by saying of another tablet to have looked.
  it("[S285] stays in a verdict that was issued by it, whatever its judge says of having looked", () => {
    const { day, first, mia, book } = bothLocked();
    day.chief.hear(book.lamport);
    const request = aRequest(day.chief, first.person, mia);
    book.add(request as AnyEntry);
    book.add(answering(aMark(first.pen, { level: 4 }), request.id));
    aPass(day, mia, book);
    const done = { request: request.id, candidate: mia, section: blocks, basis: {} as Basis };
    book.add(aPen(first.person, "first-second").write("answered", done) as AnyEntry);
    expect(chamberOf(book, mia, "verdict", first.person)).toBe(4);
    expect(book.marks.late(mia)).toEqual([]);
  });

  it("[S36] before the reveal a judge is asked only where all is filled, about what is not seen: a refusal tells nothing either", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first] = day.judges as [Judge, Judge];
    const mia = day.candidates[0] as CandidateId;
    const request = {
      ...aRequest(day.chief, first.person, mia),
      body: { ...aRequest(day.chief, first.person, mia).body, ask: "blank" as const },
    } as AnyEntry;
    const codes = [1, 2, 3, 4, "not-seen", "cleared"].map(
      (level) =>
        refusal(fold([...day.plan, aMark(first.pen, { level: level as number })]), asChief, request)
          ?.code,
    );
    expect([...new Set(codes)]).toEqual(["NOT_REVEALED"]);
    const filled = fold([...day.plan, ...aLock(first, blocks, [mia], day.plan)]);
    expect(refusal(filled, asChief, request)).toBeNull();
  });
});

describe("late marks that the chief lets count", () => {
  it("[S210] are those that lay before the chief, and a later one asks anew", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 3 }),
        fc.integer({ min: 0, max: 9 }),
        (level, ahead) => {
          const { day, first, mia, book } = bothLocked();
          day.chief.hear(book.lamport);
          const question = lateQuestion(first.person, blocks);
          book.add(aMark(first.pen, { level: 4 }));
          day.chief.hear(book.lamport);
          const settled = day.chief.write("review-settled", {
            ...{ question, candidate: mia, decision: "late-counts", reason },
            basis: heldOf(book, mia),
          });
          book.add(settled as AnyEntry);
          expect(chamberOf(book, mia, "verdict", first.person)).toBe(4);
          expect(book.decisions.settled(mia, question)?.id).toBe(settled.id);
          const later = aMark(first.pen, { level });
          // Whoever writes a mark may choose its logical time; what the settlement speaks of is not chosen so.
          book.add({ ...later, lamport: 1 + ahead });
          expect(chamberOf(book, mia, "verdict", first.person)).toBe(4);
          expect(book.decisions.settled(mia, question)).toBeUndefined();
          expect(book.decisions.settlements(mia)).toEqual([]);
          const anew = { ...settled.body, basis: heldOf(book, mia) };
          day.chief.hear(settled.lamport + 20);
          book.add(day.chief.write("review-settled", anew) as AnyEntry);
          expect(chamberOf(book, mia, "verdict", first.person)).toBe(level);
          expect(book.decisions.settlements(mia)).toHaveLength(1);
        },
      ),
    );
  });
});

it("[S210] speaks of whatever comes where it was settled before that was asked, so that no old test is read otherwise", () => {
  const { day, first, mia, book } = bothLocked();
  day.chief.hear(book.lamport);
  const body = { question: lateQuestion(first.person, blocks), candidate: mia, reason };
  book.add(aMark(first.pen, { level: 4 }));
  book.add(day.chief.write("review-settled", { ...body, decision: "late-counts" }) as AnyEntry);
  book.add(aMark(first.pen, { level: 1 }));
  expect(chamberOf(book, mia, "verdict", first.person)).toBe(1);
});

describe("a lock that asks about another judge", () => {
  it("[S212] is answered the same whatever it says of that judge's count, with cells blank or filled", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [Judge, Judge];
    const mia = day.candidates[0] as CandidateId;
    const mark = aMark(second.pen, { level: 2 });
    const filled = aLock(first, blocks, [mia], day.plan);
    const lock = filled.at(-1) as EntryOf<"locked">;
    const books = [fold([...day.plan, mark]), fold([...day.plan, mark, ...filled.slice(0, -1)])];
    for (const book of books)
      for (const said of [1, mark.n, mark.n + 1, mark.n + 9]) {
        const basis = { ...lock.body.basis, [mark.device]: said } as Basis;
        const asking = { ...lock, body: { ...lock.body, basis } } as AnyEntry;
        expect(refusal(book, asJudge(first.person), asking)?.code).toBe("BASIS_WRONG");
      }
    expect(refusal(books[1] as Scorebook, asJudge(first.person), lock)).toBeNull();
  });
});

describe("a place that was passed over", () => {
  it.each(["answered", "verdict", "settled"] as const)(
    "[S211] is not filled when the decision is there, but where a hub had lost it: %s",
    (how) => {
      const { day, first, mia, book } = bothLocked();
      day.chief.hear(book.lamport);
      const request = aRequest(day.chief, first.person, mia);
      book.add(request as AnyEntry);
      const before = [...book.entries()];
      const skipped = answering(aMark(first.pen, { level: 3 }), request.id) as AnyEntry;
      // Something behind it is there, as what was refused leaves it.
      const behind = first.pen.write("note", {
        ...{ candidate: mia, section: blocks, text: reason },
        ...{ item: null, side: null },
      }) as AnyEntry;
      book.add(behind);
      expect(refusal(book, asJudge(first.person), skipped)).toBeNull();
      const basis = { ...book.basis, [behind.device]: behind.n } as Basis;
      const verdict = {
        ...{ candidate: mia, result: "pass" as const, computed: "pass" as const },
        ...{ retestSections: [], basis },
      };
      const question = lateQuestion(first.person, blocks);
      const decided = (
        how === "answered"
          ? first.pen.write("answered", {
              ...{ request: request.id, candidate: mia, section: blocks, basis },
            })
          : how === "verdict"
            ? day.chief.write("verdict", verdict)
            : day.chief.write("review-settled", {
                ...{ question, candidate: mia, decision: "late-counts", reason, basis },
              })
      ) as AnyEntry;
      book.add(decided);
      expect(refusal(book, asJudge(first.person), skipped)?.code).toBe("ALREADY_LOCKED");
      // A hub that heard the chief first, having lost all of it.
      if (how === "answered") return;
      const restored = fold([...before, decided]);
      expect(refusal(restored, asJudge(first.person), skipped)).toBeNull();
      restored.add(behind);
      const again = { ...asJudge(first.person), mayComeAgain: true };
      expect(refusal(restored, again, skipped)).toBeNull();
      // A second chief may have named what nobody had written, where nothing was lost.
      expect(refusal(restored, asJudge(first.person), skipped)?.code).toBe("ALREADY_LOCKED");
    },
  );
});

describe("the order of arrival", () => {
  it("[S1] decides nothing of what is open, final, late or answered", () => {
    const { day, first, mia, book } = bothLocked();
    day.chief.hear(book.lamport);
    const request = aRequest(day.chief, first.person, mia);
    const entries: AnyEntry[] = [
      ...book.entries(),
      aMark(first.pen, { level: 4 }),
      request as AnyEntry,
      answering(aMark(first.pen, { level: 3 }), request.id),
      day.chief.write("judge-replaced", {
        judge: first.person,
        by: "judge-9" as PersonId,
      }) as AnyEntry,
    ];
    const told = (from: Scorebook) =>
      JSON.stringify([
        from.openings.openedAt(mia, blocks),
        sorted(from.marks.of(mia, "lock")),
        sorted(from.marks.of(mia, "verdict")),
        sorted(from.marks.late(mia)),
      ]);
    const sorted = (list: readonly object[]) => list.map((one) => JSON.stringify(one)).sort();
    const straight = told(fold(entries));
    fc.assert(
      fc.property(fc.shuffledSubarray(entries, { minLength: entries.length }), (shuffled) => {
        expect(told(fold(shuffled))).toBe(straight);
      }),
      { numRuns: 50 },
    );
  });
});

/** The same lock, speaking of places in its own count that were not there yet. */
const reaching = (lock: EntryOf<"locked">, n: number): EntryOf<"locked"> => ({
  ...lock,
  body: { ...lock.body, basis: { [lock.device]: n } },
});

it("[S265] when the marks opened is the same for a book that is read on and one that is read at once, also where what was held at the closing comes before the closing", () => {
  const { day, first, second, mia, book, lock } = bothLocked();
  day.chief.hear(lock.lamport + 20);
  const closed = day.chief.write("closed", {});
  const pen = aPen("chief", "held-1");
  pen.hear(closed.lamport - 1);
  const late = [first, second].map(({ person }) =>
    pen.write("held", {
      of: closed.id,
      judge: person,
      candidate: mia,
      section: blocks,
      basis: {} as Basis,
    }),
  );
  for (const entry of [...late, closed]) {
    book.add(entry);
    const anew = fold([...book.entries()]);
    expect(book.openings.openedAt(mia, blocks)).toBe(anew.openings.openedAt(mia, blocks));
  }
  expect(book.openings.openedAt(mia, blocks)).toBe(closed.lamport);
});

it("[S290] marks are open once everybody has locked, whatever a lost hub had held of a tablet that is lost too; what is final stays what it held", () => {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const [first, second] = day.judges as [Judge, Judge];
  const mia = day.candidates[0] as CandidateId;
  const book = fold(day.plan);
  const add = (...entries: AnyEntry[]) => {
    for (const entry of entries) book.add(entry);
  };
  // The lost hub had the lock of a tablet that never comes back, and said so where the chief planned anew.
  const planned = day.chief.write("assigned", {
    ...{ judge: second.person, section: blocks, candidates: [mia] },
  }) as AnyEntry;
  const pen = aPen("hub", "hub");
  pen.hear(planned.lamport);
  const held = pen.write("held", {
    ...{ of: planned.id, judge: first.person, candidate: mia, section: blocks },
    basis: { "the-lost-tablet": 7 } as unknown as Basis,
  }) as AnyEntry;
  add(planned, held, ...(aLock(second, blocks, [mia], [...book.entries()]) as AnyEntry[]));
  expect(book.openings.isRevealed(mia, blocks)).toBe(false);
  const other = { person: first.person, pen: aPen(first.person, "another-tablet") };
  other.pen.hear(book.lamport);
  add(aMark(other.pen, { level: 4 }) as AnyEntry);
  add(...(aLock(other, blocks, [mia], [...book.entries()]) as AnyEntry[]));
  expect(book.openings.isRevealed(mia, blocks)).toBe(true);
  expect(book.marks.of(mia, "lock").some(({ judge }) => judge === first.person)).toBe(false);
  expect(book.marks.late(mia).map(({ judge }) => judge)).toContain(first.person);
});
