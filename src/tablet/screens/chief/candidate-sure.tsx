import { useMemo } from "react";
import { caseOf } from "../../../core/verdict/case-of.ts";
import type { Outcome } from "../../../core/verdict/outcome.ts";
import { type SmallestChange, smallestChange } from "../../../core/verdict/smallest-change.ts";
import { listed } from "../../../words/listed.ts";
import { wholeWords } from "../../../words/whole-words.ts";
import { useSay } from "../../parts/use-say.ts";
import { nameOf, placeInWords, shortName, type Told } from "./question-in-words.ts";
import { sureInWords } from "./sure-in-words.ts";

/** How sure the result is, words before numbers, and the fewest marks that would make it another. */
export function CandidateSure({ told, outcome }: { told: Told; outcome: Outcome }) {
  const say = useSay(wholeWords);
  const { notebook, candidate } = told;
  const { certainty, certaintyReason } = outcome;
  const { book } = notebook;
  // The book changes in place; the outcome is another whenever something of this candidate did.
  // biome-ignore lint/correctness/useExhaustiveDependencies: see above.
  const change = useMemo(() => smallestChange(caseOf(book, candidate)), [book, candidate, outcome]);
  if (!certainty && !certaintyReason && !change) return null;
  const word = (one: NonNullable<typeof certainty>["word"]) =>
    say(`sure-${one.replaceAll(" ", "-") as "clear" | "close" | "too-close-to-call"}`);
  return (
    <section className="candidate-sure" aria-labelledby="sure">
      <h3 id="sure">{say("sure")}</h3>
      {certainty ? (
        <p>
          <b>{word(certainty.word)}</b> {sureInWords(told, say, outcome).join(" ")}
        </p>
      ) : (
        certaintyReason && (
          <p>{say("sure-none", { reason: certaintyReason.replaceAll("-", "_") })}</p>
        )
      )}
      {certainty?.withFlat && (
        <p>
          {say("sure-flat", {
            judges: listed(certainty.flatJudges.map((judge) => nameOf(told, judge))),
            count: certainty.flatJudges.length,
            word: word(certainty.withFlat.word),
          })}
        </p>
      )}
      {change && <p>{changeInWords(told, say, change)}</p>}
    </section>
  );
}

function changeInWords(
  told: Told,
  say: ReturnType<typeof useSay<keyof (typeof wholeWords)["english"]>>,
  { to, moves, marks, isAny, isExact, atLeast }: SmallestChange,
): string {
  const [first] = marks;
  return say("change", {
    to,
    moves,
    isAny: String(isAny),
    example:
      first && !isAny
        ? say("change-mark", {
            place: placeInWords(told, first),
            judge: shortName(told, first.judge),
          })
        : "none",
    atLeast: isExact ? "none" : String(atLeast),
  });
}
