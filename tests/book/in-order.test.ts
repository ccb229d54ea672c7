import { expect, it } from "vitest";
import { inOrder } from "../../src/book/in-order.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { anAnchorId, anchorLevels } from "../builders/an-anchor.ts";

it("[S300] of a file a judge's marks of anchors come before those of candidates that were written behind them", () => {
  const { judges, plan, rubric } = aTestDay();
  const { pen } = judges[0] as (typeof judges)[number];
  pen.hear(plan.length);
  const anchors = [1, 2].map((level) =>
    pen.write("anchor-marked", { anchor: anAnchorId, marks: anchorLevels(rubric, level) }),
  );
  const marks = [aMark(pen), aMark(pen, { criterion: "target" })];
  const written = [...anchors, ...marks];
  const ordered = inOrder(written.toSorted((a, b) => a.n - b.n));
  expect(ordered.map(({ id }) => id)).toEqual(written.map(({ id }) => id));
});
