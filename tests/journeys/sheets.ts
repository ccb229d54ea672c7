import { expect } from "vitest";
import type { Chief } from "./people/chief.ts";
import { ANYA, BEN, CHILDREN, CORA } from "./small-test.ts";

/** Worked by hand from the taps of the-calls.ts. */
const said = {
  // Three tapped Strong for the target of the rising block.
  [ANYA]: ["You passed.", "Rising block: Your block stopped right where it should."],
  // The fault key "Elbow drifts out", on the left side only.
  [BEN]: ["You passed.", "Rising block (left side): Tuck your elbow in."],
  // All three: not done. 28 days and twelve months from the day of the test are in the rubric.
  [CORA]: ["Show this part again: Etiquette.", "You keep this part: Blocks.", "Ties the belt"],
};

/** Every journey ends here: one printed page a child, with what the marks say, and without a figure but the number and the dates. */
export async function expectTheSheets(chief: Chief): Promise<void> {
  await chief.goes("Sheets");
  for (const who of CHILDREN) {
    const words = await chief.reads(who);
    for (const line of said[who]) expect(words).toContain(line);
    const [number = ""] = who.split(" ");
    expect(words).toContain("Autumn belt test");
    expect(words).toContain("Edda Wren");
    // A rank's own name is no mark.
    const rest = words
      .replace("(8th kyu)", "")
      // Dates first: on the first of a month one begins as a child's number does.
      .replace(/\b\d{1,2} \p{L}+ \d{4}\b/gu, "")
      .replace(new RegExp(`^${number}\\b`, "m"), "");
    expect(rest).not.toMatch(/\d/);
  }
  for (const [format, width] of [
    ["A4", 595],
    ["Letter", 612],
  ] as const) {
    const pdf = await chief.prints(CHILDREN.length, format);
    expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)).toHaveLength(CHILDREN.length);
    expect(Number(/\/MediaBox\s*\[0 0 ([\d.]+)/.exec(pdf)?.[1])).toBeCloseTo(width, -1);
  }
}
