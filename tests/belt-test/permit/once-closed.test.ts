import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import type { Writer } from "../../../src/belt-test/permit/writer.ts";
import type { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import type { EntryOf } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aPen, revouched } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { aTextRef } from "../../builders/an-id.ts";

const mia = "candidate-1" as CandidateId;
const blocks = "blocks" as SectionId;
const reason = aTextRef("side-1");
const head: Writer = { person: "chief" as PersonId, roles: ["chief"] };
const other = { ...aRubric(), id: "other" as RubricId };
const aLibrary = (title: string): { library: FaultLibrary } => ({
  library: { id: "faults", version: 1, title, language: "en", faults: [], practice: [] },
});

/** A day with its words, and a second tablet of the chief's, of which a line may say to be from whenever it likes. */
function aDay() {
  const day = aTestDay();
  const { chief } = day;
  const started = day.plan.at(-1) as AnyEntry;
  const plan = [...day.plan.slice(0, -1), chief.write("frozen", { rubric: other })];
  const words = chief.write("faults-frozen", aLibrary("As it was said"));
  const [judge] = day.judges as [(typeof day.judges)[0]];
  const marked = [...plan, words, started, aMark(judge.pen)];
  const closed = chief.write("closed", {});
  const second = aPen("chief", "second-tablet");
  const at = <Line extends AnyEntry>(line: Line, lamport: number): Line =>
    revouched({ ...line, lamport });
  const title = (more: Partial<EntryOf<"opened">["body"]> = {}) =>
    second.write("opened", { title: "Other title", date: "2031-05-05", rules: 3, ...more });
  return { ...day, plan, words, started, marked, closed, second, at, title };
}
const code = (lines: readonly AnyEntry[], entry: AnyEntry): string | undefined =>
  refusal(fold(lines), head, entry)?.code;

describe("a chief's line that comes late", () => {
  it("[S288] takes no place of the words a test has begun with by being older; the same words, the first, and those of a plan may come", () => {
    const { plan, words, started, marked, closed, second, at } = aDay();
    const evil = at(second.write("faults-frozen", aLibrary("Edited")), 1);
    for (const begun of [[...plan, words, started], marked, [...marked, closed]])
      expect(refusal(fold(begun), head, evil)).toMatchObject({
        code: "ENTRY_MALFORMED",
        with: { path: "body.library" },
      });
    expect(code([...plan, words, closed], evil)).toBe("ENTRY_MALFORMED");
    expect(code([...plan, words], evil)).toBeUndefined();
    expect(code([...plan, started], evil)).toBeUndefined();
    expect(code(marked, { ...evil, body: words.body })).toBeUndefined();
    // It says nothing of the sheets.
    expect(code(marked, at(evil, words.lamport + 1))).toBeUndefined();
  });

  it("[S288] changes neither title nor day nor who closed the test and why, whatever time before the closing it bears", () => {
    const { marked, closed, second, at, title } = aDay();
    const over = [...marked, closed];
    for (const lamport of [closed.lamport - 1, closed.lamport])
      expect(code(over, at(title(), lamport))).toBe("GRADING_CLOSED");
    expect(code(marked, at(title(), closed.lamport))).toBeUndefined();
    // Older than the title that stands: it takes nobody's place.
    expect(code(over, at(title(), 0))).toBeUndefined();
    const same = { title: "Summer belt test", date: "2026-06-06" };
    expect(code(over, at(title(same), closed.lamport))).toBeUndefined();
    const again = at(second.write("closed", { reason }), closed.lamport);
    expect(code(over, again)).toBe("GRADING_CLOSED");
    expect(code(over, at(again, closed.lamport - 1))).toBeUndefined();
  });

  it("[S288] gives no marked child another rubric without a reason, nor an excuse behind its verdict", () => {
    const { marked, chief, closed, second, at } = aDay();
    const verdict = chief.write("verdict", {
      ...{ candidate: mia, result: "retest", computed: "retest", retestSections: [], basis: {} },
    });
    const early = marked.length - 2;
    const entered = at(
      second.write("entered", { candidate: mia, number: 1, rubric: other.id }),
      early,
    );
    const item = "rising-block" as ItemId;
    const excused = at(second.write("excused", { candidate: mia, section: blocks, item }), early);
    expect(code([...marked, closed], entered)).toBe("REASON_MISSING");
    expect(code([...marked, closed, verdict], excused)).toBe("EXCUSE_LATE");
    const why = { ...entered, body: { ...entered.body, reason } };
    expect(code([...marked, closed], why)).toBeUndefined();
    expect(code([...marked, closed], excused)).toBeUndefined();
    expect(code([...marked, verdict], excused)).toBeUndefined();
    const [, ben] = ["candidate-1", "candidate-2"] as CandidateId[];
    const unmarked = { ...entered, body: { ...entered.body, candidate: ben as CandidateId } };
    expect(code([...marked, closed], { ...unmarked, body: { ...unmarked.body, number: 2 } })).toBe(
      undefined,
    );
  });

  it("[S288] is taken where it comes again to a hub that lost it", () => {
    const { plan, started, chief } = aDay();
    const deputy = aPen("deputy");
    deputy.hear(50);
    const title = { title: "Other title", date: "2031-05-05", rules: 3 } as const;
    const had = [deputy.write("opened", title), deputy.write("faults-frozen", aLibrary("Later"))];
    chief.hear(60);
    const closed = chief.write("closed", { basis: { [deputy.device]: 2 } });
    const again = (lines: AnyEntry[], entry: AnyEntry, mayComeAgain = true) => {
      const writer = { person: "deputy" as PersonId, roles: ["chief"] as const, mayComeAgain };
      return refusal(fold(lines), writer, entry)?.code;
    };
    const [opened, words] = had as AnyEntry[] as [AnyEntry, AnyEntry];
    expect(again([...plan, started, words, closed], opened)).toBe("GRADING_CLOSED");
    const before = [...plan, started, closed];
    expect(again(before, opened)).toBeUndefined();
    expect(again([...before, opened], words)).toBeUndefined();
    // Where nothing was lost it was never here.
    expect(again(before, opened, false)).toBe("GRADING_CLOSED");
  });

  it("[S288] replaces no rubric of a test that was closed without having been opened", () => {
    const { plan, chief, closed, second, at, rubric } = aDay();
    const frozen = at(second.write("frozen", { rubric: { ...rubric, title: "Easy" } }), 20);
    expect(code([...plan, chief.write("closed", {})], frozen)).toBe("REASON_MISSING");
    expect(code([...plan, closed], at(frozen, 2))).toBe("REASON_MISSING");
    expect(code(plan, frozen)).toBeUndefined();
  });
});
