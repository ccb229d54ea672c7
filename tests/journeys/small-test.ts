import { aRubric } from "../builders/a-rubric.ts";
import { aFile } from "./people/files.ts";

/** Everybody here is invented. */
export const JUDGES = ["Mara Quist", "Tovi Lund", "Pell Odaka"] as const;
export const ANYA = "1 Anya";
export const BEN = "2 Ben";
export const CORA = "3 Cora";
export const CHILDREN = [ANYA, BEN, CORA] as const;
export const RUBRIC_TITLE = "White to yellow, hall of the journeys";

/** A belt test small enough to be held in a minute: one wave of three, six calls, a checklist. */
export const aSmallPlan = () => ({
  title: "Autumn belt test",
  chief: "Edda Wren",
  rubric: {
    title: RUBRIC_TITLE,
    file: aFile("rubric.json", JSON.stringify(aRubric({ id: "hall-junior", title: RUBRIC_TITLE }))),
  },
  roster: {
    count: 3,
    file: aFile(
      "candidates.csv",
      "number,given,family,rubric,birth-year\n1,Anya,Invented,hall-junior,2015\n2,Ben,Invented,hall-junior,2014\n3,Cora,Invented,hall-junior,2015\n",
      "text/csv",
    ),
  },
  judges: JUDGES,
});

/** What is asked of every child at each call, by its heading on the glass: worked by hand from a-rubric.ts. */
export const ASKED: Record<
  string,
  { rows: string[]; isList?: boolean; isOnceForBothSides?: boolean }
> = {
  "Rising block": { rows: ["chamber", "extension", "target"] },
  "Low block": { rows: ["chamber", "target"], isOnceForBothSides: true },
  "Close of blocks": { rows: ["stance", "spirit"] },
  "Overall, blocks": { rows: ["overall"] },
  "Front kick": { rows: ["chamber", "target"] },
  Etiquette: { rows: ["bows on entering", "ties the belt"], isList: true },
};
