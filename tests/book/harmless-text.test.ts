import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { CandidateDetails, PersonDetails } from "../../src/belt-test/scorebook/side-record.ts";
import { escaped, harmless } from "../../src/book/harmless-text.ts";

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
