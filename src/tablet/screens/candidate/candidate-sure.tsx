import { useMemo } from "react";
import { DONE } from "../../../belt-test/rubric/rubric.ts";
import { placeKey } from "../../../belt-test/scorebook/cell.ts";
import { caseOf } from "../../../belt-test/verdict/case-of.ts";
import type { Outcome } from "../../../belt-test/verdict/outcome.ts";
import { ownJudges } from "../../../belt-test/verdict/own-judges.ts";
import { type SmallestChange, smallestChange } from "../../../belt-test/verdict/smallest-change.ts";
import sureWords from "../../../words/en/sure.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import type { SayOf } from "../../../words/say.ts";
import {
  criterionTitle,
  itemTitle,
  levelInWords,
  nameOf,
  sectionTitle,
  shortName,
  type Told,
} from "../../in-words/question-in-words.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import css from "./candidate-whole.module.css";
import { sureInWords } from "./sure-in-words.ts";

/** How sure the result is, words before numbers, and the fewest marks that would make it another. */
export function CandidateSure({ told, outcome }: { told: Told; outcome: Outcome }) {
  const say = useSay(sureWords);
  const { notebook, candidate } = told;
  const { certainty, certaintyReason } = outcome;
  const { book } = notebook;
  // biome-ignore lint/correctness/useExhaustiveDependencies: the book changes in place; the outcome is another whenever something of this candidate did
  const change = useMemo(() => smallestChange(caseOf(book, candidate)), [book, candidate, outcome]);
  if (!certainty && !certaintyReason && !change) return null;
  const word = (one: NonNullable<typeof certainty>["word"]) =>
    say(`sure-${one.replaceAll(" ", "-") as "clear" | "close" | "too-close-to-call"}`);
  return (
    <section className="stack-1" aria-labelledby="sure">
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
            judges: listed(
              certainty.flatJudges.map((judge) => nameOf(told, judge)),
              say.locale,
            ),
            count: certainty.flatJudges.length,
            word: word(certainty.withFlat.word),
          })}
        </p>
      )}
      {certainty && <OwnStudent told={told} say={say} />}
      {change && <Change told={told} say={say} change={change} />}
    </section>
  );
}

type SaySure = SayOf<typeof sureWords>;

/** What certainty cannot know: whether judges were kinder to their own. */
function OwnStudent({ told, say }: { told: Told; say: SaySure }) {
  const { candidate, notebook } = told;
  const own = ownJudges(notebook.book, candidate);
  if (own.length === 0) return null;
  const judges = listed(
    own.map((judge) => nameOf(told, judge)),
    say.locale,
  );
  return <p>{say("sure-own", { judges, given: givenName(notebook, candidate) })}</p>;
}

/** The fewest marks that would turn it; which they could be, a tap away, each with its section. */
function Change({ told, say, change }: { told: Told; say: SaySure; change: SmallestChange }) {
  const { to, moves, marks, isAny, isExact, atLeast } = change;
  return (
    <>
      <p>
        {say("change", {
          to,
          moves,
          marks: marks.length,
          isAny: String(isAny),
          // Some mark moves by more than one level.
          isMore: String(!isAny && moves > marks.length),
          atLeast: isExact ? "none" : String(atLeast),
        })}
      </p>
      {!isAny && (
        <details className={css.candidateWhich}>
          <summary>{say("change-marks", { count: marks.length })}</summary>
          <ul>
            {marks.map((mark) => (
              <li key={`${mark.judge}/${placeKey(mark)}`}>{markInWords(told, say, mark)}</li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}

function markInWords(told: Told, say: SaySure, mark: SmallestChange["marks"][number]): string {
  const { judge, section, item, side, criterion, from, to } = mark;
  return say("change-mark", {
    judge: shortName(told, judge),
    section: sectionTitle(told, section),
    kind: criterion === DONE ? "done" : item === null ? "once" : "item",
    item: itemTitle(told, item),
    side: side ?? "none",
    criterion: criterionTitle(told, criterion),
    from: levelInWords(told, from, criterion),
    to: levelInWords(told, to, criterion),
  });
}
