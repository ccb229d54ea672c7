import { describe, expect, it } from "vitest";
import { familySheet } from "../../../src/belt-test/feedback/family-sheet.ts";
import { releaseOf } from "../../../src/belt-test/feedback/release-of.ts";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import type { AnyEntry, EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import type { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import {
  doubtedVerdicts,
  knownAtVerdict,
  rivals,
  verdictDoubt,
} from "../../../src/belt-test/verdict/verdict-doubt.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aPen } from "../../builders/a-pen.ts";
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
      ...{ candidate: mia, result, computed: result, basis: book.basis, retestSections: [] },
      ...knownAtVerdict(by, mia),
    } as EntryBody<"verdict">) as AnyEntry;
  return { day, entries, book, other, verdict };
}
const withMore = (entries: readonly AnyEntry[], ...more: AnyEntry[]): Scorebook =>
  fold([...entries, ...more]);

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
    const left = other.write("withdrawn", { candidate: mia, why: "hurt" } as never) as AnyEntry;
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
