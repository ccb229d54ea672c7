import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import type { Outcome } from "../../../belt-test/verdict/outcome.ts";
import { listed } from "../../../words/listed.ts";
import { nameOf, type Told } from "../../in-words/question-in-words.ts";
import { sectionTally, waitsFor } from "../../session/board-coverage.ts";
import { workState } from "../../session/work-state.ts";
import css from "./candidate.module.css";

/**
 * What is still closed, and whom it waits for: how much is marked, never which level. Of a child who left, where somebody has locked: whoever had not is asked
 * for nothing more, and those marks open without them.
 */
export function CandidateWaits({ told, outcome }: { told: Told; outcome: Outcome }) {
  const { say, notebook, rubric, candidate } = told;
  const { book } = notebook;
  const hasLeft = !isHere(book, candidate);
  const closed = rubric.sections.filter(
    ({ id }) =>
      outcome.sections.some(
        (section) => section.id === id && !section.isRevealed && !section.isExcused,
      ) &&
      (!hasLeft ||
        book.panel
          .judgesOf(candidate, id)
          .some((judge) => workState(notebook, judge, candidate, id) === "locked")),
  );
  // In a closed test nobody can mark or lock, so there is nothing to wait for.
  if (closed.length === 0 || book.plan.isClosed) return null;
  return (
    <section className={css.waits} aria-labelledby="waits">
      <h3 id="waits">{say("waits")}</h3>
      <ul>
        {closed.map(({ id, title }) => {
          const { asked, filled } = sectionTally(notebook, candidate, id);
          const names = waitsFor(notebook, candidate, id).map((judge) => nameOf(told, judge));
          return (
            <li key={id}>
              <b>{title}</b>
              <span className={css.waitsBar} aria-hidden="true">
                <span style={{ width: `${asked > 0 ? (100 * filled) / asked : 0}%` }} />
              </span>
              <span>{say("waits-marks", { filled, asked })}</span>
              <span className="quiet">
                {names.length > 0
                  ? say(hasLeft ? "waits-left" : "waits-locks", {
                      names: listed(names, say.locale),
                    })
                  : say("waits-all-locked")}
              </span>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
