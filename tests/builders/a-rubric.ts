import type { z } from "zod/mini";
import { Rubric } from "../../src/belt-test/rubric/rubric.ts";

const level = (title: string, points: number) => ({ title, points });
const fourWords = ["not there", "nearly there", "as the rank asks", "beyond the rank"];

/** A small rubric that is sound: one line section, one checklist. Say only what the test is about. */
export function aRubric(changes: Partial<z.input<typeof Rubric>> = {}): Rubric {
  return Rubric.parse({
    id: "white-to-yellow-junior",
    version: 1,
    title: "White to yellow, junior",
    from: { id: "kyu-9", title: "9th kyu", belt: { name: "white belt", colour: "#F4F1E8" } },
    to: { id: "kyu-8", title: "8th kyu", belt: { name: "yellow belt", colour: "#F2C12E" } },
    audience: "junior",
    scale: {
      levels: [
        level("Not yet", 0),
        level("Nearly", 33.3),
        level("Meets", 66.7),
        level("Strong", 100),
      ],
      meetsLevel: 3,
    },
    criteria: ["stance", "chamber", "extension", "target", "spirit"].map((id) => ({
      id,
      title: id[0]?.toUpperCase() + id.slice(1),
      weight: 1,
      descriptors: fourWords,
    })),
    sections: [
      {
        id: "blocks",
        title: "Blocks",
        weight: 3,
        floor: 40,
        marking: "line",
        overall: true,
        onceASection: { criteria: ["stance", "spirit"] },
        items: [
          {
            id: "rising-block",
            title: "Rising block",
            alias: "age-uke",
            group: "block",
            sides: "each",
            criteria: ["chamber", "extension", "target"],
          },
          {
            id: "low-block",
            title: "Low block",
            alias: "gedan-barai",
            group: "block",
            sides: "together",
            criteria: ["chamber", "target"],
          },
        ],
      },
      {
        id: "etiquette",
        title: "Etiquette",
        weight: 1,
        marking: "checklist",
        items: [
          { id: "bows-in", title: "Bows on entering", group: "etiquette" },
          { id: "ties-belt", title: "Ties the belt", group: "etiquette" },
        ],
      },
    ],
    panel: { quorum: 2, combine: "mean" },
    disagreement: { levelGap: 2, borderlineBand: 3 },
    pass: { mark: 60 },
    retest: { waitDays: 28, scope: "sections", keptMonths: 12, attempts: 3 },
    ...changes,
  });
}
