import fc from "fast-check";
import { expect, it } from "vitest";
import { takeInTurn } from "../../src/command-line/take-in-turn.ts";

/** Lines that each rest on others, in files: the next of a file is taken once all that it rests on is there; those behind it are tried all the same. */
const days = fc.integer({ min: 1, max: 5 }).chain((files) =>
  fc.tuple(
    fc.constant(files),
    fc.array(fc.record({ file: fc.nat({ max: files - 1 }), on: fc.array(fc.nat({ max: 30 })) }), {
      maxLength: 30,
    }),
  ),
);

it("[L123] brings in all that can come, whatever rests on what, and ends", async () => {
  await fc.assert(
    fc.asyncProperty(days, async ([files, lines]) => {
      // A line rests on what was written before it alone.
      const all = lines.map(({ file, on }, at) => ({ at, file, on: on.filter((one) => one < at) }));
      const here = new Set<number>();
      let asked = 0;
      const order = Array.from({ length: files }, (_, file) => file).reverse();
      await takeInTurn(order, async (file) => {
        asked++;
        const before = here.size;
        const own = all.filter((line) => line.file === file);
        for (const line of own) if (line.on.every((one) => here.has(one))) here.add(line.at);
        return {
          added: here.size - before,
          waiting: own.filter(({ at }) => !here.has(at)).length,
        };
      });
      expect(here.size).toBe(all.length);
      expect(asked).toBeLessThanOrEqual(files * (all.length + 1));
    }),
  );
});

it("[L123] asks the first file again before the next, as soon as anything has come that it may rest on", async () => {
  const asked: string[] = [];
  const left = new Map([
    ["chief", [1, 1, 0]],
    ["desk", [1]],
    ["judge", [1]],
  ]);
  await takeInTurn(["chief", "desk", "judge"], async (file) => {
    asked.push(file);
    const added = left.get(file)?.shift() ?? 0;
    return { added, waiting: file === "chief" && asked.length < 5 ? 1 : 0 };
  });
  expect(asked).toEqual(["chief", "desk", "chief", "judge", "chief"]);
});
