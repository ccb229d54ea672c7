import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import { mergeable } from "../../../src/belt-test/intake/persons-file.ts";
import { type EntryKind, entryKinds } from "../../../src/belt-test/kinds/all-kinds.ts";
import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import type { EntryOf } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { sideSight, sight } from "../../../src/belt-test/scorebook/sight.ts";
import { testPack } from "../../../src/belt-test/scorebook/test-pack.ts";
import type { Basis } from "../../../src/book/counts.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const roles: Role[] = ["judge", "caller", "desk", "chief"];
const blocks = "blocks" as SectionId;
/** The table of the design, written out by hand: who may write what. */
const table: Record<Role, EntryKind[]> = {
  judge: [
    "lanes-swapped",
    "mark",
    "overall",
    "faults",
    "note",
    "related",
    "recused",
    "locked",
    "answered",
    "anchor-marked",
  ],
  caller: ["called", "paused", "resumed", "lanes-swapped", "floor-cleared"],
  desk: ["entered", "checked-in", "absent", "unfit", "expected", "excused"],
  chief: [
    "opened",
    "frozen",
    "faults-frozen",
    "rubric-replaced",
    "seated",
    "assigned",
    "judge-replaced",
    "held-at-giving",
    "entered",
    "lined-up",
    "started",
    "closed",
    "checked-in",
    "absent",
    "unfit",
    "expected",
    "excused",
    "called",
    "paused",
    "resumed",
    "lanes-swapped",
    "floor-cleared",
    "held",
    "held-sealed",
    "revealed",
    "remark-asked",
    "review-settled",
    "verdict",
    "sheet-edited",
    "sheet-released",
    "correction",
    "anchor-set",
    "anchor-agreed",
    "severity-kept",
    "severities-used",
    "judge-told",
    "erased",
  ],
};
const asJudge = { person: "judge-1" as PersonId, roles: ["judge" as const] };
/** What the chief asks the first judge about a candidate's first block. */
const asked = (candidate: unknown) => ({
  judge: "judge-1" as PersonId,
  candidate: candidate as CandidateId,
  section: blocks,
  item: "rising-block" as ItemId,
  side: "left" as const,
  criterion: null,
  ask: "blank" as const,
});
const anyone: EntryKind[] = ["stopped", "incident", "withdrawn"];

/** An entry of a kind whose body says nothing that a permission could hang on. */
const bare = (kind: EntryKind, by: string): AnyEntry =>
  ({ ...aPen(by).write("paused", {}), kind, body: {} }) as unknown as AnyEntry;

describe("who may write", () => {
  it("[S8] follows the table of roles, kind by kind", () => {
    const book = fold(aTestDay().plan);
    for (const role of roles) {
      for (const kind of entryKinds) {
        const may = anyone.includes(kind) || table[role].includes(kind);
        let code: string | undefined;
        try {
          code = refusal(book, { person: "p" as PersonId, roles: [role] }, bare(kind, "p"))?.code;
        } catch {
          code = undefined; // past the table: the body of this kind is checked further
        }
        expect([role, kind, code === "ROLE_MISSING"]).toEqual([role, kind, !may]);
      }
    }
  });

  it("[S8] refuses a mark in another judge's name", () => {
    const { plan } = aTestDay();
    const mark = aMark(aPen("judge-2"));
    expect(refusal(fold(plan), { person: "judge-1" as PersonId, roles: ["judge"] }, mark)).toEqual({
      code: "NOT_YOURS",
    });
  });

  it("[S193] takes a mark, and a lock, of one child alone, and each cell of it once", () => {
    const { plan, judges, candidates } = aTestDay();
    const pen = judges[0]?.pen as ReturnType<typeof aPen>;
    const judge = { person: "judge-1" as PersonId, roles: ["judge" as const] };
    const book = fold(plan);
    const [one, two] = candidates as [CandidateId, CandidateId];
    const cell = (candidate: CandidateId, criterion = "chamber", level = 3) => ({
      ...{ candidate, criterion: anId(criterion), level, how: "tapped" as const },
    });
    const where = { section: blocks, item: anId("rising-block"), side: "left" as const };
    const answer = (...cells: ReturnType<typeof cell>[]) =>
      refusal(book, judge, pen.write("mark", { ...where, cells }))?.code;
    expect(answer(cell(one), cell(one, "target"))).toBeUndefined();
    expect(answer(cell(one), cell(two))).toBe("ONE_CANDIDATE");
    expect(answer(cell(one), cell(one, "target"), cell(one, "chamber", 1))).toBe("ENTRY_MALFORMED");
    const lock = pen.write("locked", { section: blocks, candidates: [one, two], basis: {} });
    expect(refusal(book, judge, lock)?.code).toBe("ONE_CANDIDATE");
  });

  it("[S15] takes nothing more after the closing, but what was written before it and a correction with its reason", () => {
    const { plan, judges, chief, candidates } = aTestDay();
    const pen = judges[0]?.pen as ReturnType<typeof aPen>;
    const judge = { person: "judge-1" as PersonId, roles: ["judge" as const] };
    const head = { person: "chief" as PersonId, roles: ["chief" as const] };
    const before = aMark(pen);
    const closed = chief.write("closed", {});
    const book = fold([...plan, closed]);
    pen.hear(closed.lamport);
    expect(refusal(book, judge, before)).toBeNull();
    expect(refusal(book, judge, aMark(pen))?.code).toBe("GRADING_CLOSED");
    const lock = pen.write("locked", { section: blocks, candidates, basis: {} });
    expect(refusal(book, judge, lock)?.code).toBe("GRADING_CLOSED");
    const call = { wave: 1, section: blocks, item: anId("rising-block"), side: "left" as const };
    expect(refusal(book, head, chief.write("called", call))?.code).toBe("GRADING_CLOSED");
    expect(refusal(book, head, chief.write("closed", {}))?.code).toBe("GRADING_CLOSED");
    const [candidate] = candidates as [(typeof candidates)[0]];
    const verdict = {
      candidate,
      result: "pass" as const,
      computed: "pass" as const,
      retestSections: [],
      basis: {},
    };
    expect(refusal(book, head, chief.write("verdict", verdict))?.code).toBe("REASON_MISSING");
    const reason = { id: anId("words"), digest: "0".repeat(64) };
    for (const entry of [
      chief.write("verdict", { ...verdict, reason }),
      chief.write("correction", { of: closed.id, reason }),
      chief.write("sheet-released", { candidate }),
      chief.write("incident", { text: reason }),
      chief.write("erased", { about: candidate }),
    ]) {
      expect(refusal(book, head, entry)).toBeNull();
      book.add(entry as AnyEntry);
    }
  });

  it("[S8] names an unknown candidate, an item of no rubric, a criterion not asked, a level off the scale and a judge not assigned", () => {
    const { plan } = aTestDay();
    const book = fold(plan);
    const fault = (changes: Parameters<typeof aMark>[1], by = "judge-1") =>
      refusal(book, { person: by as PersonId, roles: ["judge"] }, aMark(aPen(by), changes))?.code;
    expect(fault({})).toBeUndefined();
    expect(fault({ candidate: "stranger" })).toBe("CANDIDATE_UNKNOWN");
    expect(fault({ item: "flying-kick" })).toBe("ITEM_UNKNOWN");
    expect(fault({ side: null })).toBe("ITEM_UNKNOWN");
    expect(fault({ criterion: "spirit" })).toBe("CRITERION_NOT_ASKED");
    expect(fault({ level: 5 })).toBe("LEVEL_OUT_OF_SCALE");
    expect(fault({}, "judge-7")).toBe("NOT_ASSIGNED");
  });

  it("[S8] lets nothing change between a judge's lock and the reveal, but in a row about which the chief asked", () => {
    const { plan, judges, chief, candidates } = aTestDay({ rules: 1 });
    const [judge] = judges as [(typeof judges)[0]];
    const { pen } = judge;
    const book = fold([...plan, ...aLock(judge, blocks, candidates, plan)]);
    expect(refusal(book, asJudge, aMark(pen))?.code).toBe("ALREADY_LOCKED");
    book.add(chief.write("remark-asked", asked(candidates[0])));
    expect(refusal(book, asJudge, aMark(pen))).toBeNull();
    expect(refusal(book, asJudge, aMark(pen, { side: "right" }))?.code).toBe("ALREADY_LOCKED");
    const overall = { candidate: candidates[0] as never, section: blocks, judgement: 2 };
    expect(refusal(book, asJudge, pen.write("overall", overall))?.code).toBe("ALREADY_LOCKED");
  });

  it("[S24] takes no lock that leaves a cell blank, whatever is marked after it", () => {
    const { plan, judges, candidates } = aTestDay({ rules: 1 });
    const [judge] = judges as [(typeof judges)[0]];
    const entries = aLock(judge, blocks, candidates, plan);
    const lock = entries.at(-1) as EntryOf<"locked">;
    const marks = entries.slice(0, -1);
    const book = fold([...plan, ...marks]);
    expect(refusal(book, asJudge, lock)).toBeNull();
    expect(refusal(fold([...plan, ...marks.slice(1)]), asJudge, lock)).toEqual({
      code: "CELL_BLANK",
      with: { candidate: candidates[0], section: blocks },
    });
    // What it does not speak of, it has not found.
    const basis = { [lock.device]: marks.length - 1 } as Basis;
    const short = { ...lock, body: { ...lock.body, basis } };
    expect(refusal(book, asJudge, short)?.code).toBe("CELL_BLANK");
    // Offered again after a later one of the same device, it would change what stood at the lock; of another device it is one of two.
    const later = judge.pen.write("locked", lock.body);
    expect(refusal(fold([...plan, ...marks, later]), asJudge, lock)).toEqual({
      code: "ALREADY_LOCKED",
      with: { candidate: candidates[0], section: blocks },
    });
    const elsewhere = { ...later, device: anId("judge-1-spare") };
    expect(refusal(fold([...plan, ...marks, elsewhere]), asJudge, lock)).toBeNull();
    // Taken back is blank.
    const cleared = aMark(judge.pen, { level: "cleared" });
    const after = judge.pen.write("locked", {
      ...lock.body,
      basis: { [lock.device]: 99 } as Basis,
    });
    expect(refusal(fold([...plan, ...marks, cleared]), asJudge, after)?.code).toBe("CELL_BLANK");
  });

  it("[S25] lets the chief ask before the reveal only about what is blank or not seen", () => {
    const { plan, judges, chief, candidates } = aTestDay({ rules: 1 });
    const [{ pen }] = judges as [(typeof judges)[0]];
    const head = { person: "chief" as PersonId, roles: ["chief" as const] };
    const ask = (changes = {}) =>
      chief.write("remark-asked", {
        ...asked(candidates[0]),
        criterion: anId("chamber"),
        ...changes,
      });
    const code = (entry: AnyEntry, ...more: AnyEntry[]) =>
      refusal(fold([...plan, ...more]), head, entry)?.code;
    const mark = aMark(pen);
    chief.hear(mark.lamport);
    expect(code(ask())).toBeUndefined();
    expect(code(ask(), mark)).toBe("NOT_REVEALED");
    expect(code(ask(), aMark(pen, { level: "not-seen" }))).toBeUndefined();
    expect(code(ask({ criterion: null }), mark)).toBeUndefined();
    expect(code(ask({ judge: "judge-9" }))).toBe("NOT_REVEALED");
    // It was blank when it was asked.
    const early = ask();
    pen.hear(early.lamport);
    expect(code(early, aMark(pen))).toBeUndefined();
    // After the lock nothing was blank, whatever the asker's count says.
    const [own] = judges as [(typeof judges)[0]];
    const locked = aLock(own, blocks, candidates, plan);
    const marked = locked.map((entry) =>
      entry.kind === "mark"
        ? {
            ...entry,
            body: { ...entry.body, cells: entry.body.cells.map((cell) => ({ ...cell, level: 3 })) },
          }
        : entry,
    ) as AnyEntry[];
    expect(code(early, ...marked)).toBe("NOT_REVEALED");
    // Once marks are open, any may be talked about.
    const locks = judges.flatMap((judge) => aLock(judge, blocks, candidates, [...plan, mark]));
    expect(code(ask({ ask: "talk" }), mark)).toBe("NOT_REVEALED");
    expect(code(ask({ ask: "talk" }), mark, ...locks)).toBeUndefined();
  });

  it("[S26] takes what was written before the plan changed, in whatever order it comes", () => {
    const { plan, judges, chief, candidates, rubric } = aTestDay({ candidates: 1 });
    const [judge] = judges as [(typeof judges)[0]];
    const { pen } = judge;
    const mark = aMark(pen);
    const entries = aLock(judge, blocks, candidates, [...plan, mark]);
    const lock = entries.at(-1) as EntryOf<"locked">;
    chief.hear(lock.lamport);
    const reason = { id: anId("words"), digest: "0".repeat(64) };
    const items = rubric.sections[0]?.items.filter(({ id }) => id !== "rising-block") ?? [];
    const without = { ...rubric, version: rubric.version + 1 };
    without.sections = rubric.sections.map((one) => (one.id === blocks ? { ...one, items } : one));
    const changes: [string, AnyEntry, string | undefined][] = [
      [
        "replaced",
        chief.write("judge-replaced", { judge: judge.person, by: anId("judge-9") }),
        // Whoever had the place may not have heard of it: what comes is late (S259).
        undefined,
      ],
      [
        "stepped back",
        {
          ...chief.write("paused", {}),
          kind: "recused",
          by: judge.person,
          body: { candidate: candidates[0], section: null },
        },
        "RECUSED",
      ],
      [
        "another rubric",
        chief.write("rubric-replaced", { rubric: without, reason }),
        "ITEM_UNKNOWN",
      ],
    ];
    for (const [what, change, code] of changes) {
      const book = fold([...plan, mark, ...entries.slice(0, -1), change]);
      expect([what, refusal(book, asJudge, mark)]).toEqual([what, null]);
      // A place that was given away waits for the successor's lock: see S124.
      const fault = what === "replaced" ? "NOT_ASSIGNED" : undefined;
      expect([what, refusal(book, asJudge, lock)?.code]).toEqual([what, fault]);
      const later = aPen("judge-1", "judge-1-spare");
      later.hear(change.lamport);
      expect([what, refusal(book, asJudge, aMark(later))?.code]).toEqual([what, code]);
    }
    // Whoever was never to mark is not let in by an early count.
    const stranger = { ...aMark(aPen("judge-7")), lamport: mark.lamport };
    expect(
      refusal(fold(plan), { person: "judge-7" as PersonId, roles: ["judge"] }, stranger)?.code,
    ).toBe("NOT_ASSIGNED");
  });

  it("[S153] lets the desk say who is away while marks are missing, and the chief alone when all are in", () => {
    const writers = { desk: ["desk"], chief: ["chief"] } as const;
    const said = (
      entries: readonly AnyEntry[],
      role: "desk" | "chief",
      kind: "absent" | "unfit",
      heard = 10_000,
    ) => {
      const pen = aPen(role, `${role}-other-tablet`);
      pen.hear(heard);
      const entry = pen.write(kind, { candidate: "candidate-1" as CandidateId });
      return refusal(fold(entries), { person: entry.by, roles: writers[role] }, entry)?.code;
    };
    const begun = aMarkedDay({ locks: (_, section) => section === "blocks" }).entries;
    const { entries: over, day } = aMarkedDay();
    const issued = day.chief.write("verdict", {
      candidate: "candidate-1" as CandidateId,
      result: "pass",
      retestSections: [],
      computed: "pass",
      basis: {},
    });
    for (const kind of ["absent", "unfit"] as const) {
      expect(said(begun, "desk", kind)).toBeUndefined();
      // A desk hears of no lock; and whoever writes a logical time may choose it.
      for (const heard of [10_000, 20, 1])
        expect(said(over, "desk", kind, heard)).toBe("MARKED_TO_THE_END");
      expect(said([...begun, issued], "desk", kind)).toBe("MARKED_TO_THE_END");
      expect(said(over, "chief", kind)).toBeUndefined();
    }
  });

  it("[S9] never refuses a stop, an incident or a withdrawal", () => {
    const book = fold(aTestDay().plan);
    for (const role of roles) {
      for (const kind of anyone)
        expect(
          refusal(book, { person: "p" as PersonId, roles: [role] }, bare(kind, "p")),
        ).toBeNull();
    }
  });

  it("[S8] refuses logical time far above anything known", () => {
    const { plan } = aTestDay();
    const pen = aPen("judge-1");
    pen.hear(50_000);
    expect(
      refusal(fold(plan), { person: "judge-1" as PersonId, roles: ["judge"] }, aMark(pen))?.code,
    ).toBe("LAMPORT_TOO_HIGH");
  });

  it("[S140] takes logical time far above anything known of the chief, and of anybody in need, up to ends that leave room for the others", () => {
    const book = fold(aTestDay().plan);
    const of = (
      role: Role,
      kind: "stopped" | "withdrawn" | "incident" | "paused",
      lamport: number,
    ) =>
      refusal(book, { person: "p" as PersonId, roles: [role] }, { ...bare(kind, "p"), lamport })
        ?.code;
    for (const kind of ["stopped", "withdrawn", "incident"] as const) {
      expect(of("judge", kind, 2 ** 46)).toBeUndefined();
      expect(of("judge", kind, 2 ** 46 + 1)).toBe("LAMPORT_TOO_HIGH");
      expect(of("chief", kind, 2 ** 46 + 1)).toBeUndefined();
    }
    expect(of("chief", "paused", 2 ** 47)).toBeUndefined();
    expect(of("chief", "paused", 2 ** 47 + 1)).toBe("LAMPORT_TOO_HIGH");
    expect(of("caller", "paused", book.lamport + 10_000)).toBeUndefined();
    expect(of("caller", "paused", book.lamport + 10_001)).toBe("LAMPORT_TOO_HIGH");
    // From the highest stop on everybody counts on as before.
    book.add({ ...bare("stopped", "q"), lamport: 2 ** 46 });
    for (const role of ["judge", "chief"] as const)
      expect(of(role, "stopped", 2 ** 46 + 5)).toBeUndefined();
    expect(of("caller", "paused", 2 ** 46 + 5)).toBeUndefined();
  });

  it("[S297] takes no word that a child is back from further ahead than any other line, but of the chief", () => {
    const book = fold(aTestDay().plan);
    const of = (role: Role, why: "hurt" | null, lamport: number) => {
      const said = aPen("p").write("withdrawn", { candidate: "candidate-1" as CandidateId, why });
      const writer = { person: "p" as PersonId, roles: [role] };
      return refusal(book, writer, { ...said, lamport })?.code;
    };
    for (const role of ["judge", "caller", "desk"] as const) {
      expect(of(role, "hurt", 2 ** 46)).toBeUndefined();
      expect(of(role, null, book.lamport + 10_000)).toBeUndefined();
      expect(of(role, null, book.lamport + 10_001)).toBe("LAMPORT_TOO_HIGH");
    }
    expect(of("chief", null, 2 ** 47)).toBeUndefined();
  });
});

describe("who is sent what", () => {
  it("[S10] sends a mark to its writer at once, to chief and judges at reveal, to desk and caller never", () => {
    const mark = aMark(aPen("judge-1"));
    expect(sight({ person: "judge-1" as PersonId, roles: ["judge"] }, mark)).toBe("now");
    const waits = { waits: [{ candidate: "candidate-1", section: "blocks" }] };
    expect(sight({ person: "judge-2" as PersonId, roles: ["judge"] }, mark)).toEqual(waits);
    expect(sight({ person: "chief" as PersonId, roles: ["chief"] }, mark)).toEqual(waits);
    expect(sight({ person: "x" as PersonId, roles: ["desk"] }, mark)).toBe("never");
    expect(sight({ person: "x" as PersonId, roles: ["caller"] }, mark)).toBe("never");
  });

  it("[S11] cuts a candidate's record down to the given name for judges and callers", () => {
    const record = {
      id: "s1",
      grading: aGradingId,
      about: "candidate-1",
      kind: "candidate",
      salt: "0".repeat(32),
      body: { given: "Nora", family: "Secret", birthYear: 2017, contact: "guardian" },
    } as never;
    const body = (role: Role) =>
      sideSight({ person: "p" as PersonId, roles: [role] }, record)?.body;
    expect(body("judge")).toEqual({ given: "Nora" });
    expect(body("caller")).toEqual({ given: "Nora" });
    expect(body("chief")).toHaveProperty("birthYear", 2017);
    expect(body("desk")).toHaveProperty("family", "Secret");
  });
});

describe("a test without a hub", () => {
  it("[S13] takes from a file that came back only what its person may write", () => {
    const { plan, judges } = aTestDay();
    const book = fold(plan);
    const own = aMark(judges[0]?.pen as ReturnType<typeof aPen>);
    const forged = aMark(judges[1]?.pen as ReturnType<typeof aPen>);
    const smuggled = aPen("judge-1", "judge-1-phone").write("verdict", {
      candidate: anId("candidate-1"),
      result: "pass",
      retestSections: [],
      computed: "pass",
      basis: {},
    });
    const pack = testPack(book, []);
    expect(pack.entries).toHaveLength(plan.length);
    const { taken, refused } = mergeable(
      book,
      { grading: aGradingId, entries: [...pack.entries, own, forged, smuggled, { nonsense: 1 }] },
      "judge-1" as PersonId,
      { refsOf: () => [], hasSide: () => false },
    );
    expect(taken).toEqual([own]);
    expect(refused.map(({ index, code }) => ({ index, code }))).toEqual([
      { index: plan.length + 1, code: "NOT_YOURS" },
      { index: plan.length + 2, code: "ROLE_MISSING" },
      { index: plan.length + 3, code: "ENTRY_MALFORMED" },
    ]);
    expect(book.size).toBe(plan.length);
  });
});
