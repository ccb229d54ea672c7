import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import {
  CandidateDetails,
  FreeText,
  PersonDetails,
} from "../../src/belt-test/scorebook/side-bodies.ts";
import { titlePage } from "../../src/belt-test/scorebook/title-page.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import { escaped, harmless, harmlessAll } from "../../src/book/harmless-text.ts";
import { aPen } from "../builders/a-pen.ts";
import { aRubric } from "../builders/a-rubric.ts";

const harm = [..."\u0000\u0007\u001b\u009b\u007f\u202e\u2066\u200f\u061c\ufeff\u200b\n"];
const withHarm = fc
  .array(fc.oneof(fc.constantFrom(...harm, "\ud800"), fc.string({ maxLength: 3 })), {
    maxLength: 12,
  })
  .map((parts) => parts.join(""));
const isHarmless = (text: string) =>
  !/[\p{Cc}\p{Surrogate}\u061C\u200B\u200E\u200F\u202A-\u202E\u2066-\u2069]/u.test(text);

describe("a name", () => {
  it("[H101] is shown without what it could do, and as it is where there is none of it", () => {
    fc.assert(fc.property(withHarm, (text) => isHarmless(harmless(text))));
    for (const name of ["Benoît", "نگار\u200cزاده", "O'Néill-Łódź", "美咲", "👩\u200d👧"])
      expect([harmless(name), escaped(name)]).toEqual([name, name]);
  });

  it("[H101] is read harmless, of a candidate and of a person", () => {
    expect(CandidateDetails.parse({ given: "A\u001bda", family: "L\u202eind" })).toEqual({
      given: "A da",
      family: "L ind",
    });
    expect(PersonDetails.parse({ name: "In\ud800es\u0007" }).name).toBe("In es");
    expect(PersonDetails.safeParse({ name: "\u001b\u202e" }).success).toBe(false);
  });

  it("[H101] is shown so of a belt test's title, of a rubric and of words with several lines", () => {
    const pen = aPen("chief");
    const rubric = aRubric({ title: "Yellow \u202etleb" });
    const book = fold([
      pen.write("opened", { title: "Summer \u202etest", date: "2026-06-06", rules: 3 }),
      pen.write("frozen", { rubric }),
    ] as AnyEntry[]);
    expect(book.plan.opened?.title).toBe("Summer test");
    expect(titlePage(book.entries()).title).toBe("Summer test");
    expect(book.plan.rubric(rubric.id)?.title).toBe("Yellow tleb");
    expect(FreeText.parse({ text: "One\r\ntwo \u202ethree\n" }).text).toBe("One\ntwo three");
    expect(harmlessAll(rubric.scale)).toBe(rubric.scale);
  });

  it("[H101] is printed so that JSON says the same as before", () => {
    fc.assert(
      fc.property(withHarm, (text) => {
        const printed = escaped(JSON.stringify({ name: text }, null, 2));
        expect(isHarmless(printed.replaceAll("\n", ""))).toBe(true);
        expect(JSON.parse(printed)).toEqual({ name: text });
      }),
    );
  });
});
