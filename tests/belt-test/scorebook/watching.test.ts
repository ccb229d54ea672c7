import { describe, expect, it } from "vitest";
import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { readEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { sight } from "../../../src/belt-test/scorebook/sight.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anAnchor, anAnchorId, anchorLevels } from "../../builders/an-anchor.ts";
import { anId } from "../../builders/an-id.ts";

const viewer = (person: string, ...roles: Role[]) => ({ person: person as PersonId, roles });
const chiefs = viewer("chief", "chief");
const told = (chief: ReturnType<typeof aPen>) =>
  chief.write("judge-told", {
    judge: "judge-1" as PersonId,
    standing: "severe",
    severity: { value: 0.3, se: 0.1 },
    candidates: 3,
    marks: 30,
    restShare: 0.5,
    sameShare: 0.6,
    drift: [{ wave: 1, apart: 0.3, cells: 30 }],
  });

describe("what a judge is told", () => {
  it("[S18] goes to that judge and the chief, and to nobody else", () => {
    const entry = told(aPen("chief"));
    expect(sight(viewer("judge-1", "judge"), entry)).toBe("now");
    expect(sight(chiefs, entry)).toBe("now");
    for (const other of [
      viewer("judge-2", "judge"),
      viewer("d", "desk"),
      viewer("c", "caller"),
      viewer("judge-2", "judge", "desk", "caller"),
    ])
      expect(sight(other, entry)).toBe("never");
  });
  it("[S18] not before every sheet of somebody here is released, and by the chief alone", () => {
    const { plan, chief, candidates } = aTestDay();
    const [first, ...others] = candidates;
    const entries: AnyEntry[] = [...plan];
    expect(refusal(fold(entries), chiefs, told(chief))?.code).toBe("NOT_RELEASED");
    for (const candidate of others) entries.push(chief.write("sheet-released", { candidate }));
    expect(refusal(fold(entries), chiefs, told(chief))?.code).toBe("NOT_RELEASED");
    const away = chief.write("absent", { candidate: first as never });
    expect(refusal(fold([...entries, away]), chiefs, told(chief))).toBeNull();
    const book = fold([...entries, chief.write("sheet-released", { candidate: first as never })]);
    expect(refusal(book, chiefs, told(chief))).toBeNull();
    expect(refusal(book, viewer("judge-1", "judge"), told(aPen("judge-1")))?.code).toBe(
      "ROLE_MISSING",
    );
    const entry = told(chief);
    book.add(entry);
    expect(book.standards.told("judge-1" as PersonId)?.body).toEqual(entry.body);
    expect(book.standards.told("judge-2" as PersonId)).toBeUndefined();
  });
  it("[S18] not while somebody is here again whose sheet went out when they had left", () => {
    const { plan, chief, candidates } = aTestDay();
    const [first, ...others] = candidates as [never, ...never[]];
    const entries: AnyEntry[] = [
      ...plan,
      chief.write("withdrawn", { candidate: first, why: "hurt" }),
      ...others.map((candidate) => chief.write("sheet-released", { candidate })),
      chief.write("sheet-released", { candidate: first, of: null }),
    ];
    expect(refusal(fold(entries), chiefs, told(chief))).toBeNull();
    const back = chief.write("withdrawn", { candidate: first, why: null });
    expect(refusal(fold([...entries, back]), chiefs, told(chief))?.code).toBe("NOT_RELEASED");
  });
  it("[S18] once the test is closed, as soon as every verdict there is has its sheet released", () => {
    const { plan, chief, candidates } = aTestDay();
    const [first] = candidates as [never];
    const entries: AnyEntry[] = [
      ...plan,
      chief.write("verdict", {
        candidate: first,
        result: "pass",
        computed: "pass",
        retestSections: [],
        basis: {},
      }),
      chief.write("closed", {}),
    ];
    expect(refusal(fold(entries), chiefs, told(chief))?.code).toBe("NOT_RELEASED");
    entries.push(chief.write("sheet-released", { candidate: first }));
    expect(refusal(fold(entries), chiefs, told(chief))).toBeNull();
    // Closed with no verdict at all, nothing is released.
    const none = fold([...plan, chief.write("closed", {})]);
    expect(refusal(none, chiefs, told(chief))?.code).toBe("NOT_RELEASED");
  });
});

describe("an anchor performance", () => {
  it("[S19] is set before judges' eyes without what was agreed, nor what others marked", () => {
    const { chief, rubric } = aTestDay();
    const marks = anchorLevels(rubric, 3);
    const judge = viewer("judge-2", "judge");
    expect(sight(judge, anAnchor(chief, rubric))).toBe("now");
    expect(sight(judge, chief.write("anchor-agreed", { anchor: anAnchorId, marks }))).toBe("never");
    const marked = aPen("judge-1").write("anchor-marked", { anchor: anAnchorId, marks });
    expect(sight(judge, marked)).toBe("never");
    expect(sight(viewer("judge-1", "judge"), marked)).toBe("now");
    expect(sight(chiefs, marked)).toBe("now");
  });
  it("[S19] keeps both from a chief who also judges, until that chief has marked the same", () => {
    const { chief, rubric } = aTestDay();
    const body = { anchor: anAnchorId, marks: anchorLevels(rubric, 3) };
    const both = viewer("judge-2", "chief", "judge");
    const marked = aPen("judge-1").write("anchor-marked", body);
    expect(sight(both, marked)).toEqual({ ownFirst: anAnchorId });
    expect(sight(both, chief.write("anchor-agreed", body))).toEqual({ ownFirst: anAnchorId });
    expect(sight(both, aPen("judge-2").write("anchor-marked", body))).toBe("now");
    expect(sight(viewer("judge-2", "judge", "caller", "desk"), marked)).toBe("never");
  });
  it("[S20] takes marks that fit its section, while it is open", () => {
    const { plan, chief, rubric } = aTestDay();
    const book = fold([...plan, anAnchor(chief, rubric)]);
    const judge = viewer("judge-1", "judge");
    const code = (marks: ReturnType<typeof anchorLevels>, from = book) =>
      refusal(from, judge, aPen("judge-1").write("anchor-marked", { anchor: anAnchorId, marks }))
        ?.code;
    const good = anchorLevels(rubric, 4);
    const [first] = good;
    if (!first) throw new Error("a cell");
    expect(code(good)).toBeUndefined();
    expect(code(anchorLevels(rubric, 5))).toBe("LEVEL_OUT_OF_SCALE");
    expect(code([{ ...first, criterion: anId("spirit") }])).toBe("CRITERION_NOT_ASKED");
    expect(code([{ ...first, item: anId("flying-kick") }])).toBe("ITEM_UNKNOWN");
    expect(code(good, fold(plan))).toBe("ANCHOR_UNKNOWN");
    expect(
      code(
        good,
        fold([...plan, anAnchor(chief, rubric), anAnchor(chief, rubric, anAnchorId, false)]),
      ),
    ).toBe("ANCHOR_UNKNOWN");
    const nowhere = chief.write("anchor-set", {
      anchor: anAnchorId,
      rubric: rubric.id,
      section: anId("dance"),
      isOpen: true,
    });
    expect(refusal(book, chiefs, nowhere)?.code).toBe("ITEM_UNKNOWN");
  });
  it("[S22] takes nothing new of it that was written after the first call, and all that was written before", () => {
    const { plan, chief, rubric } = aTestDay();
    const judge = viewer("judge-1", "judge");
    const marks = anchorLevels(rubric, 3);
    const set = anAnchor(chief, rubric);
    const body = { anchor: anAnchorId, marks };
    const another = "anchor-2" as typeof anAnchorId;
    const away = aPen("judge-1");
    const handIn = () => away.write("anchor-marked", body);
    const inTime = { marked: handIn(), agreed: chief.write("anchor-agreed", body) };
    const setInTime = anAnchor(chief, rubric, another);
    const call = (wave: number) =>
      chief.write("called", {
        wave,
        section: set.body.section,
        item: anId("rising-block"),
        side: "left",
      });
    const [first, second] = [call(1), call(2)];
    // Calls reach the hub in any order, and before what a tablet away wrote earlier.
    const book = fold([...plan, set, second, first]);
    const code = (by: typeof judge, entry: AnyEntry) => refusal(book, by, entry)?.code;
    expect(code(judge, inTime.marked)).toBeUndefined();
    expect(code(chiefs, inTime.agreed)).toBeUndefined();
    expect(code(chiefs, setInTime)).toBeUndefined();
    // Logical time, one step either side: known to have come after the first call, though before the second.
    expect(code(judge, { ...handIn(), lamport: first.lamport })).toBeUndefined();
    expect(code(judge, { ...handIn(), lamport: first.lamport + 1 })).toBe("ANCHOR_LATE");
    expect(code(chiefs, chief.write("anchor-agreed", body))).toBe("ANCHOR_LATE");
    expect(code(chiefs, anAnchor(chief, rubric, another))).toBe("ANCHOR_LATE");
  });
  it("[S289] takes none that a judge hands in behind what they wrote of candidates, whatever logical time it bears; one that a hub had lost comes again", () => {
    const { plan, chief, judges, rubric } = aTestDay();
    const [watcher, other] = judges.map(({ person, pen }) => ({
      pen,
      judge: viewer(person, "judge"),
    }));
    if (!watcher || !other) throw new Error("two judges");
    const set = anAnchor(chief, rubric);
    const body = { anchor: anAnchorId, marks: anchorLevels(rubric, 3) };
    const call = chief.write("called", {
      ...{ wave: 1, section: set.body.section, item: anId("rising-block"), side: "left" },
    });
    const before = [...plan, set, call];
    const early = watcher.pen.write("anchor-marked", body);
    const code = (lines: AnyEntry[], by = watcher, entry: AnyEntry = early) =>
      refusal(fold(lines), by.judge, entry)?.code;
    expect(early.lamport).toBeLessThan(call.lamport);
    // Off the line at the first call, and everything in the turn in which it was written.
    expect(code(before)).toBeUndefined();
    const behind = [...before, aMark(watcher.pen)] as AnyEntry[];
    expect(code(behind)).toBe("ANCHOR_LATE");
    expect(code(behind, other, other.pen.write("anchor-marked", body))).toBeUndefined();
    // Before the first call nobody has watched anything.
    expect(code(behind.filter(({ id }) => id !== call.id))).toBeUndefined();
    // Whoever stepped back from a child while the plan was made has not watched it.
    const stepped = watcher.pen.write("recused", {
      candidate: anId("candidate-1"),
      section: null,
    });
    expect(code([...before, stepped] as AnyEntry[])).toBeUndefined();
    const basis = { [early.device]: early.n };
    const closed = chief.write("closed", { basis });
    const lost = { ...watcher, judge: { ...watcher.judge, mayComeAgain: true } };
    expect(code([...before, closed, aMark(watcher.pen)] as AnyEntry[], lost)).toBeUndefined();
  });
  it("[S22] may still be taken back after the first call, brought back as it was, and reckoned with or not", () => {
    const { plan, chief, rubric } = aTestDay();
    const set = anAnchor(chief, rubric);
    const called = chief.write("called", {
      wave: 1,
      section: set.body.section,
      item: anId("rising-block"),
      side: "left",
    });
    const book = fold([...plan, set, called]);
    const back = anAnchor(chief, rubric, anAnchorId, false);
    expect(refusal(book, chiefs, back)).toBeNull();
    book.add(back);
    expect(refusal(book, chiefs, anAnchor(chief, rubric))).toBeNull();
    const elsewhere = chief.write("anchor-set", {
      ...set.body,
      section: rubric.sections.find(({ id }) => id !== set.body.section)?.id as never,
    });
    expect(refusal(book, chiefs, elsewhere)?.code).toBe("ANCHOR_LATE");
    for (const anchors of [true, false]) {
      const used = chief.write("severities-used", { anchors, history: true });
      expect(refusal(book, chiefs, used)).toBeNull();
    }
  });
  it("[S21] does not count before the chief says so; history does until it is put aside or forgotten", () => {
    const { plan, chief } = aTestDay();
    const keep = (kept: { severity: number; sd: number } | null) =>
      chief.write("severity-kept", {
        judge: "judge-1" as PersonId,
        from: anId("grading-0"),
        date: "2025-06-06",
        kept,
      });
    const book = fold([...plan, keep({ severity: 0.2, sd: 0.1 })]);
    expect(book.standards.severitiesUsed).toEqual({ anchors: false, history: true });
    expect(book.standards.keptSeverities).toHaveLength(1);
    book.add(chief.write("severities-used", { anchors: true, history: false }));
    expect(book.standards.severitiesUsed).toEqual({ anchors: true, history: false });
    book.add(keep(null));
    expect(book.standards.keptSeverities).toEqual([]);
  });
  it("[S8] refuses nonsense in what is kept", () => {
    const entry = { ...aPen("chief").write("paused", {}), kind: "severity-kept" };
    const body = {
      judge: "judge-1",
      from: "grading-0",
      date: "2025-06-06",
      kept: { severity: 0.2, sd: 0 },
    };
    expect(readEntry({ ...entry, body }).ok).toBe(false);
    expect(readEntry({ ...entry, body: { ...body, kept: { severity: 0.2, sd: 0.1 } } }).ok).toBe(
      true,
    );
  });
});
