import { describe, expect, it } from "vitest";
import { familySheet } from "../../../src/belt-test/feedback/family-sheet.ts";
import { releaseOf } from "../../../src/belt-test/feedback/release-of.ts";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import type { EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import type { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import { heldOf } from "../../../src/belt-test/scorebook/what-was-held.ts";
import { caseOf } from "../../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import {
  doubtedVerdicts,
  knownAtVerdict,
  rivals,
  verdictDoubt,
} from "../../../src/belt-test/verdict/verdict-doubt.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aTextRef } from "../../builders/an-id.ts";
import { shippedFaultLibrary } from "../../builders/shipped-rubrics.ts";

const library = FaultLibrary.parse(shippedFaultLibrary);
const mia = "candidate-1" as CandidateId;

/** A marked day, and two tablets of the chief that do not hear of each other. */
function aDay() {
  const { day, entries } = aMarkedDay();
  const book = fold(entries);
  day.chief.hear(book.lamport);
  const other = aPen("chief", "chief-other-tablet");
  other.hear(book.lamport);
  const verdict = (pen: Pen, by: Scorebook, result: "pass" | "retest"): AnyEntry =>
    pen.write("verdict", {
      ...{ candidate: mia, result, computed: result, basis: by.basis, retestSections: [] },
      ...knownAtVerdict(by, mia),
    } as EntryBody<"verdict">) as AnyEntry;
  return { day, entries, book, other, verdict };
}
const withMore = (entries: readonly AnyEntry[], ...more: AnyEntry[]): Scorebook =>
  fold([...entries, ...more]);

describe("a verdict", () => {
  it("[V136] that what came since it was issued does not come to is in doubt, until it is issued anew", () => {
    const harsh = "judge-1" as PersonId;
    const { day, entries } = aMarkedDay({
      levelOf: (_, { section }, judge) => (section === "etiquette" ? 2 : judge === harsh ? 1 : 3),
    });
    const book = fold(entries);
    const computedOf = (one: Scorebook) => outcome(caseOf(one, mia));
    day.chief.hear(book.lamport);
    // Another tablet of the chief, off the line, leaves the harsh judge out of every question.
    const other = aPen("chief", "chief-other-tablet");
    other.hear(book.lamport + 20);
    const settled = computedOf(book).questions.map(
      ({ key }) =>
        other.write("review-settled", {
          ...{ question: key, candidate: mia, decision: "struck", judge: harsh },
        } as EntryBody<"review-settled">) as AnyEntry,
    );
    expect(settled.length).toBeGreaterThan(0);
    const issue = (by: Scorebook): AnyEntry => {
      const { computed, retestSections } = computedOf(by);
      return day.chief.write("verdict", {
        ...{ candidate: mia, result: computed, computed, retestSections, basis: heldOf(by, mia) },
        ...knownAtVerdict(by, mia),
        reason: { id: "a-reason", digest: "0" },
      } as unknown as EntryBody<"verdict">) as AnyEntry;
    };
    const issued = withMore(entries, issue(book));
    expect(issued.decisions.verdict(mia)?.body.result).toBe("retest");
    expect(verdictDoubt(issued, mia)).toBeUndefined();
    const late = withMore([...issued.entries()], ...settled);
    expect(computedOf(late).computed).toBe("pass");
    expect(verdictDoubt(late, mia)).toBe("overtaken");
    expect(doubtedVerdicts(late)).toMatchObject([{ result: "retest", computed: "pass" }]);
    day.chief.hear(late.lamport);
    expect(verdictDoubt(withMore([...late.entries()], issue(late)), mia)).toBeUndefined();
    // Nobody's word that the child has left takes a doubt away.
    const gone = day.chief.write("absent", { candidate: mia }) as AnyEntry;
    expect(verdictDoubt(withMore([...late.entries()], gone), mia)).toBe("overtaken");
  });

  it("[V136] with other sections to repeat than what came since comes to is in doubt too, also where it was issued of an incomplete test", () => {
    const { day, entries } = aMarkedDay({
      levelOf: (_, { section }) => (section === "etiquette" ? 2 : 1),
    });
    const away = entries.filter(({ by, kind }) => by === "judge-3" && kind !== "seated");
    const here = withMore(entries.filter((line) => !away.includes(line)));
    const { computed, retestSections } = outcome(caseOf(fold(entries), mia));
    expect([outcome(caseOf(here, mia)).computed, computed]).toEqual(["incomplete", "retest"]);
    day.chief.hear(here.lamport);
    const issue = (sections: readonly SectionId[]) =>
      day.chief.write("verdict", {
        ...{ candidate: mia, result: "retest", computed: "incomplete" },
        ...{ retestSections: [...sections], basis: heldOf(here, mia) },
        ...knownAtVerdict(here, mia),
        reason: { id: "a-reason", digest: "0" },
      } as unknown as EntryBody<"verdict">) as AnyEntry;
    const every = ["blocks", "etiquette"] as SectionId[];
    expect(retestSections).not.toEqual(every);
    for (const [sections, doubt] of [
      [every, "overtaken"],
      [retestSections, undefined],
    ] as const) {
      const issued = withMore([...here.entries()], issue(sections));
      expect(verdictDoubt(withMore([...issued.entries()], ...away), mia)).toBe(doubt);
    }
  });
});

describe("two verdicts of one child", () => {
  it("[V128] that did not know of each other and differ are both in doubt, in whatever order they come, until one is given that knows both", () => {
    const { day, entries, book, other, verdict } = aDay();
    const [one, two] = [verdict(day.chief, book, "pass"), verdict(other, book, "retest")];
    for (const both of [withMore(entries, one, two), withMore(entries, two, one)]) {
      expect(verdictDoubt(both, mia)).toBe("rival");
      expect(doubtedVerdicts(both)).toMatchObject([{ candidate: mia, doubt: "rival" }]);
      expect(rivals(both, mia)).toHaveLength(1);
      const anew = verdict(day.chief, both, "retest");
      expect(verdictDoubt(withMore([...both.entries()], anew), mia)).not.toBe("rival");
    }
    // However many one tablet wrote without a word of the others, one that knows them all ends it.
    const many = Array.from({ length: 600 }, () => verdict(other, book, "retest"));
    const crowded = withMore(entries, one, ...many);
    day.chief.hear(crowded.lamport);
    const whole = verdict(day.chief, crowded, "pass");
    expect(JSON.stringify(whole).length).toBeLessThan(20_000);
    expect(rivals(withMore([...crowded.entries()], whole), mia)).toEqual([]);
    const known = verdict(other, withMore(entries, one), "retest");
    expect(rivals(withMore(entries, one, known), mia)).toEqual([]);
    const same = verdict(other, book, "pass");
    expect(rivals(withMore(entries, one, same), mia)).toEqual([]);
  });

  it("[V129] a retest by somebody who did not know that the child had withdrawn is in doubt", () => {
    const { day, entries, book, other, verdict } = aDay();
    const left = other.write("withdrawn", { candidate: mia, why: "hurt" }) as AnyEntry;
    const crossing = verdict(day.chief, book, "retest");
    const both = withMore(entries, left, crossing);
    expect(both.floor.presence(mia)).toBe("withdrawn");
    expect(verdictDoubt(both, mia)).toBe("withdrawn");
    day.chief.hear(both.lamport);
    const knowing = verdict(day.chief, both, "retest");
    const decided = withMore([...both.entries()], knowing);
    expect(verdictDoubt(decided, mia)).not.toBe("withdrawn");
    // Back, and withdrawn anew: that is another withdrawal.
    const anew = ["back", "hurt"].map(
      (what) =>
        day.chief.write("withdrawn", {
          candidate: mia,
          why: what === "back" ? null : "hurt",
        }) as AnyEntry,
    );
    expect(verdictDoubt(withMore([...decided.entries()], ...anew), mia)).toBe("withdrawn");
  });

  it("[V130] takes the sheet of another verdict back until it is released anew", () => {
    const { day, entries, book, verdict } = aDay();
    const first = withMore(entries, verdict(day.chief, book, "pass"));
    const page = (one: Scorebook) => familySheet(one, mia, () => undefined, library);
    const out = withMore(
      [...first.entries()],
      day.chief.write("sheet-released", releaseOf(first, mia)) as AnyEntry,
    );
    expect(page(out)).toBeDefined();
    const changed = withMore([...out.entries()], verdict(day.chief, out, "retest"));
    expect(changed.decisions.release(mia)).toBeUndefined();
    expect(page(changed)).toBeUndefined();
    const again = withMore(
      [...changed.entries()],
      day.chief.write("sheet-released", releaseOf(changed, mia)) as AnyEntry,
    );
    expect(again.decisions.release(mia)).toBeDefined();
    // Also where the sheet that went out bore no verdict, of somebody who had withdrawn and is here after all.
    const left = withMore(
      entries,
      day.chief.write("withdrawn", { candidate: mia, why: "hurt" }) as AnyEntry,
    );
    const without = withMore(
      [...left.entries()],
      day.chief.write("sheet-released", releaseOf(left, mia)) as AnyEntry,
    );
    expect(without.decisions.release(mia)).toBeDefined();
    expect(
      withMore([...without.entries()], verdict(day.chief, without, "retest")).decisions.release(
        mia,
      ),
    ).toBeUndefined();
  });
});

describe("a verdict, and another rubric", () => {
  const reason = aTextRef("side-1", "d");
  const page = (book: Scorebook) => familySheet(book, mia, () => undefined, library);

  /** Released as a pass; the book has a second rubric, to the next belt, by which nobody was tested. */
  function aReleasedDay() {
    const { day, entries, other, verdict } = aDay();
    const next = aRubric({
      id: "next-belt",
      to: { ...day.rubric.to, id: "kyu-7", title: "Next" },
    });
    const frozen = day.chief.write("frozen", { rubric: next }) as AnyEntry;
    const book = withMore(entries, frozen);
    other.hear(book.lamport);
    const issued = verdict(day.chief, book, "pass");
    const decided = withMore([...book.entries()], issued);
    const out = day.chief.write("sheet-released", releaseOf(decided, mia)) as AnyEntry;
    const entered = (pen: Pen, rubric = next.id) =>
      pen.write("entered", { candidate: mia, number: 1, rubric, reason }) as AnyEntry;
    return { day, book, other, verdict, issued, out, entered };
  }

  it("[V133] is in doubt once the child is tested by another rubric than it was given by, until it is issued anew or the child has its rubric back", () => {
    const { day, book, verdict, issued, out, entered } = aReleasedDay();
    const released = withMore([...book.entries()], issued, out);
    expect(verdictDoubt(released, mia)).toBeUndefined();
    const sheet = page(released)?.sheet;
    expect(sheet?.to.title).toBe(day.rubric.to.title);
    // A corrected number is no other rubric.
    const renamed = withMore([...released.entries()], entered(day.chief, day.rubric.id));
    expect(verdictDoubt(renamed, mia)).toBeUndefined();
    const corrected = withMore([...released.entries()], entered(day.chief));
    expect(verdictDoubt(corrected, mia)).toBe("other-rubric");
    expect(doubtedVerdicts(corrected)).toMatchObject([{ candidate: mia, doubt: "other-rubric" }]);
    expect(page(corrected)).toBeUndefined();

    const back = withMore([...corrected.entries()], entered(day.chief, day.rubric.id));
    expect(verdictDoubt(back, mia)).toBeUndefined();
    expect(page(back)?.sheet).toEqual(sheet);

    const given = verdict(day.chief, corrected, "pass");
    const anew = withMore([...corrected.entries()], {
      ...given,
      body: { ...(given.body as object), computed: "incomplete", reason },
    } as AnyEntry);
    expect(verdictDoubt(anew, mia)).toBeUndefined();
    expect(page(anew)).toBeUndefined();
    const again = day.chief.write("sheet-released", releaseOf(anew, mia)) as AnyEntry;
    expect(page(withMore([...anew.entries()], again))?.sheet.to.title).toBe("Next");
  });

  it("[V133] is in doubt also where whoever gave the other rubric, or a newer one, had not heard of it, in whatever order they come", () => {
    const { book, day, other, issued, out, entered } = aReleasedDay();
    const rubric = { ...day.rubric, version: day.rubric.version + 1, title: "Newer" };
    const replaced = other.write("rubric-replaced", { rubric, reason }) as AnyEntry;
    for (const unheard of [entered(other), replaced])
      for (const more of [
        [issued, out, unheard],
        [unheard, issued, out],
      ]) {
        const both = withMore([...book.entries()], ...more);
        expect(verdictDoubt(both, mia)).toBe("other-rubric");
        expect(page(both)).toBeUndefined();
      }
    // The same once more says nothing else.
    const same = other.write("frozen", { rubric: day.rubric }) as AnyEntry;
    expect(verdictDoubt(withMore([...book.entries()], issued, out, same), mia)).toBeUndefined();
  });

  it("[V133] two of one result by two rubrics, by tablets that did not know of each other, are rivals", () => {
    const { book, other, verdict, issued, entered } = aReleasedDay();
    const corrected = withMore([...book.entries()], entered(other));
    const theirs = verdict(other, corrected, "pass");
    const both = withMore([...corrected.entries()], issued, theirs);
    expect(verdictDoubt(both, mia)).toBe("rival");
  });
});
