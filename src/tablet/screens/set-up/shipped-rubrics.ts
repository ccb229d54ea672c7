import { Rubric } from "../../../belt-test/rubric/rubric.ts";

const files = import.meta.glob<unknown>(
  ["../../../../scoring-rubrics/*-to-*.json", "!**/*.schema.json"],
  { import: "default" },
);

/** The rubrics that come with the product; fetched when somebody looks at them. */
export async function shippedRubrics(): Promise<Rubric[]> {
  const rubrics = await Promise.all(
    Object.keys(files)
      .sort()
      .map(async (path) => Rubric.parse(await files[path]?.())),
  );
  // From the first belt upwards: the lowest grade has the highest kyu number.
  const kyu = ({ to }: Rubric) => -Number(/\d+/.exec(to.title)?.[0] ?? 0);
  return rubrics.sort((a, b) => kyu(a) - kyu(b) || a.audience.localeCompare(b.audience) * -1);
}
