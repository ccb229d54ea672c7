import type { Judge } from "./people/judge.ts";
import { ANYA, BEN, CHILDREN, CORA } from "./small-test.ts";

type Act = (judge: Judge) => Promise<unknown>;

/** A call of the small test as it comes to the judges, and the exceptions that each of the three taps before the closing key. */
export interface Call {
  /** Which set of the wave it is for the caller. */
  set: number;
  title: string;
  side?: string;
  exceptions: readonly [Act[], Act[], Act[]];
  /** Overall judgements have no closing key. */
  isTappedWhole?: boolean;
}
const all = (...acts: Act[]): Call["exceptions"] => [acts, acts, acts];

/** Every journey marks the same, so that every journey must end with the same verdicts and the same sheets. */
export const BLOCKS: readonly Call[] = [
  {
    set: 1,
    title: "Rising block",
    side: "left side",
    exceptions: [
      [
        (judge) => judge.marks(BEN, "extension", "Not yet"),
        (judge) => judge.faults(BEN, "extension", "Elbow drifts out"),
        async (judge) => {
          await judge.marks(ANYA, "chamber", "Nearly");
          const said = await judge.undoes();
          if (said !== "Undone: Anya, chamber") throw new Error(`the rail says: ${said}`);
          await judge.stands(ANYA, "chamber", "blank");
        },
      ],
      [(judge) => judge.doesNotSee(CORA)],
      [
        (judge) => judge.marks(BEN, "extension", "Strong"),
        (judge) => judge.marks(ANYA, "target", "Strong"),
      ],
    ],
  },
  {
    set: 2,
    title: "Rising block",
    side: "right side",
    exceptions: all((judge) => judge.marks(ANYA, "target", "Strong")),
  },
  {
    // Set 3 is the left side of what is marked once for both.
    set: 4,
    title: "Low block",
    side: "right side",
    exceptions: all((judge) => judge.marks(CORA, "chamber", "Nearly")),
  },
  { set: 5, title: "Close of blocks", exceptions: all() },
  {
    set: 5,
    title: "Overall, blocks",
    exceptions: all(
      ...CHILDREN.map(
        (who): Act =>
          (judge) =>
            judge.marks(who, "overall", "Pass"),
      ),
    ),
    isTappedWhole: true,
  },
];
export const ETIQUETTE: Call = {
  set: 6,
  title: "Etiquette",
  exceptions: all((judge) => judge.marks(CORA, "ties the belt", "Not done")),
};

/** @param at  which of the three judges this is. */
export async function marksCall(judge: Judge, at: number, call: Call): Promise<void> {
  await judge.sees(call.title, call.side);
  for (const act of call.exceptions[at] ?? []) await act(judge);
  if (!call.isTappedWhole) await judge.restMeets();
}

/** Whoever has no caller steps through the section alone, from its first call. */
export async function marksBlocksAlone(judge: Judge, at: number, first = 0): Promise<void> {
  for (const call of BLOCKS.slice(first)) {
    if (call !== BLOCKS[0]) await judge.stepsOn();
    if (call.title === "Low block") {
      await judge.sees("Low block", "left side");
      await judge.stepsOn();
    }
    await marksCall(judge, at, call);
  }
}
