import { aRubric } from "../builders/a-rubric.ts";
import { aFile } from "./people/files.ts";
import type { Judge } from "./people/judge.ts";
import { ANYA, BEN, CORA, JUDGES } from "./small-test.ts";
import { BLOCKS, type Call, ETIQUETTE } from "./the-calls.ts";

export const DOV = "4 Dov";
export const ELI = "5 Eli";
/** Who stands on the floor together. */
export const WAVES = [
  [ANYA, BEN, CORA],
  [DOV, ELI],
] as const;

const TITLE = "White to yellow, a day that goes awry";

/** Three sections, so that somebody can leave after two; a quorum of three, so that five stand in two waves. */
export const anAwryPlan = () => {
  const small = aRubric();
  const rubric = aRubric({
    id: "awry-junior",
    title: TITLE,
    panel: { ...small.panel, quorum: JUDGES.length },
    sections: [
      ...small.sections,
      {
        id: "kicks",
        title: "Kicks",
        weight: 2,
        floor: 40,
        marking: "line",
        items: [
          {
            id: "front-kick",
            title: "Front kick",
            alias: "mae-geri",
            group: "kick",
            sides: "each",
            criteria: ["chamber", "target"],
          },
        ],
      },
    ],
  });
  return {
    title: "Autumn belt test",
    chief: "Edda Wren",
    rubric: { title: TITLE, file: aFile("rubric.json", JSON.stringify(rubric)) },
    roster: {
      count: 5,
      file: aFile(
        "candidates.csv",
        `number,given,family,rubric,birth-year\n${["Anya", "Ben", "Cora", "Dov", "Eli"].map((given, at) => `${at + 1},${given},Invented,awry-junior,2015\n`).join("")}`,
        "text/csv",
      ),
    },
    judges: JUDGES,
  };
};

const plain = (set: number, title: string, side?: string): Call => ({
  set,
  title,
  ...(side ? { side } : {}),
  exceptions: [[], [], []],
});

/** All of Anya's judges agree but for one cell, in which two are three levels apart. */
const [RISING_LEFT, RISING_RIGHT, LOW, CLOSE, OVERALL] = BLOCKS as [Call, Call, Call, Call, Call];
const passesAll = async (judge: Judge): Promise<void> => {
  for (const who of judge.children) await judge.marks(who, "overall", "Pass");
};
const OVERALL_ALL: Call = { ...OVERALL, exceptions: [[passesAll], [passesAll], [passesAll]] };

export const FIRST_TWO_SECTIONS: readonly Call[] = [
  {
    ...RISING_LEFT,
    exceptions: [
      [
        (judge) => judge.marks(ANYA, "extension", "Not yet"),
        (judge) => judge.marks(BEN, "chamber", "Nearly"),
      ],
      [(judge) => judge.doesNotSee(CORA)],
      [(judge) => judge.marks(ANYA, "extension", "Strong")],
    ],
  },
  { ...RISING_RIGHT, exceptions: [[], [], []] },
  { ...LOW, exceptions: [[], [(judge) => judge.marks(BEN, "target", "Strong")], []] },
  CLOSE,
  OVERALL_ALL,
  ETIQUETTE,
];
export const KICKS: readonly Call[] = [
  {
    ...plain(7, "Front kick", "left side"),
    exceptions: [[], [], [(judge) => judge.marks(CORA, "chamber", "Nearly")]],
  },
  plain(8, "Front kick", "right side"),
];
/** The second wave is as plain as a wave can be. */
export const PLAIN: readonly Call[] = [
  plain(1, "Rising block", "left side"),
  plain(2, "Rising block", "right side"),
  plain(4, "Low block", "right side"),
  CLOSE,
  OVERALL_ALL,
  plain(6, "Etiquette"),
  plain(7, "Front kick", "left side"),
  plain(8, "Front kick", "right side"),
];
