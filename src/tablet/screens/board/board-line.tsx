import type { CSSProperties } from "react";
import { Link } from "react-router";
import type { CandidateId, SectionId } from "../../../belt-test/identity.ts";
import { sectionOf } from "../../../belt-test/rubric/lookup.ts";
import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import { isOpen } from "../../../belt-test/verdict/is-open.ts";
import type { Outcome } from "../../../belt-test/verdict/outcome.ts";
import { isIssuable } from "../../../belt-test/verdict/question-queue.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { Belt } from "../../parts/belt.tsx";
import { LevelGlyph } from "../../parts/level-glyph.tsx";
import { Seal } from "../../parts/seal.tsx";
import { candidateAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { sectionTally, waitsFor } from "../../session/board-coverage.ts";
import { givenName } from "../../session/names.ts";
import type { Outcomes } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./board-line.module.css";
import { linePlace } from "./board-place.ts";

/** The line so far: a column a candidate with a plumb line through Meets. It inks in as marks arrive; a place shows only when marks are open. */
export function BoardLine({
  candidates,
  order,
  outcomes,
}: {
  candidates: readonly CandidateId[];
  /** The wave's sections, as they are called. */
  order: readonly SectionId[];
  outcomes: Outcomes;
}) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const belts = candidates.map((candidate) => book.plan.rubricOf(candidate)?.to.belt);
  // A belt all of them test for is said once, above the line.
  const isOneBelt = belts.every((belt) => belt?.name === belts[0]?.name);
  const sections = sectionsOf(
    candidates.flatMap((candidate) => book.plan.rubricOf(candidate) ?? []),
    order,
  );
  return (
    <table className={css.table} style={{ "--columns": candidates.length } as CSSProperties}>
      <thead>
        <tr>
          <th scope="col">
            {isOneBelt && belts[0] ? (
              <span className={css.testing}>
                {say("testing-for")}
                <Belt belt={belts[0]} />
              </span>
            ) : (
              <span className="unseen">{say("section")}</span>
            )}
          </th>
          {candidates.map((candidate, at) => {
            const given = givenName(notebook, candidate);
            const belt = belts[at];
            return (
              <th key={candidate} scope="col">
                <Link className={css.head} to={candidateAddress(notebook.pass.grading, candidate)}>
                  <b>{book.plan.entrant(candidate)?.number}</b>{" "}
                  <span data-long={given.length > 8 || undefined}>{given}</span>
                  {!isOneBelt && belt && <Belt belt={belt} />}
                </Link>
              </th>
            );
          })}
        </tr>
      </thead>
      <tbody>
        {sections.map(({ id, title }) => (
          <tr key={id}>
            <th scope="row">{title}</th>
            {candidates.map((candidate) => (
              <td key={candidate}>
                <Cell candidate={candidate} section={id} outcome={outcomes.of(candidate)} />
              </td>
            ))}
          </tr>
        ))}
      </tbody>
      <tfoot>
        <tr>
          <th scope="row">{say("verdict")}</th>
          {candidates.map((candidate) => (
            <td key={candidate}>
              <Foot candidate={candidate} outcomes={outcomes} />
            </td>
          ))}
        </tr>
      </tfoot>
    </table>
  );
}

/** Sections of several rubrics, each once, as they are called; those nobody is called for come last. */
function sectionsOf(
  rubrics: readonly { sections: readonly { id: SectionId; title: string }[] }[],
  order: readonly SectionId[],
) {
  const found = new Map<SectionId, string>();
  for (const { sections } of rubrics)
    for (const { id, title } of sections) if (!found.has(id)) found.set(id, title);
  const place = (id: SectionId) => (order.includes(id) ? order.indexOf(id) : order.length);
  return [...found].map(([id, title]) => ({ id, title })).sort((a, b) => place(a.id) - place(b.id));
}

function Cell({
  candidate,
  section: id,
  outcome,
}: {
  candidate: CandidateId;
  section: SectionId;
  outcome: Outcome | undefined;
}) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const rubric = book.plan.rubricOf(candidate);
  const section = rubric && sectionOf(rubric, id);
  const standing = outcome?.sections.find((one) => one.id === id);
  if (!rubric || !section || !standing) return <span className="unseen">{say("cell-absent")}</span>;
  // Of somebody who left, what was marked and not locked is kept, and says nothing here.
  if (!isHere(book, candidate) && (!standing.isRevealed || standing.score === null))
    return <span className={css.cell} data-gone="" />;
  if (standing.isExcused) return <span className={css.note}>{say("cell-excused")}</span>;
  if (!standing.isRevealed) {
    const { asked, filled } = sectionTally(notebook, candidate, id);
    const waits = waitsFor(notebook, candidate, id).length;
    const words =
      asked === 0
        ? say("cell-nobody")
        : filled === asked
          ? say("cell-waits", { count: waits })
          : say("cell-coverage", { filled, asked });
    return (
      <span className={css.cell} style={inked(asked > 0 ? filled / asked : 0)}>
        <span className="unseen">{words}</span>
      </span>
    );
  }
  const missed = standing.unmet.some(({ kind }) => kind === "must-show");
  const floor =
    standing.score === null
      ? "noscore"
      : standing.unmet.length === 0
        ? standing.floor > 0
          ? "met"
          : "none"
        : missed
          ? "mustshow"
          : "unmet";
  const place = standing.score && linePlace(standing.score.percent, section, rubric);
  const meets = rubric.scale.levels[rubric.scale.meetsLevel - 1]?.title ?? "";
  return (
    <span className={css.cell} style={inked(1)} data-open="">
      {place && (
        <>
          <span
            className={css.thread}
            aria-hidden="true"
            style={{ "--offset": place.offset } as CSSProperties}
            data-side={place.offset < 0 ? "left" : "right"}
          />
          <span className={css.dot} style={{ "--offset": place.offset } as CSSProperties}>
            <LevelGlyph level={place.level} meetsLevel={rubric.scale.meetsLevel} size={24} />
          </span>
        </>
      )}
      {floor === "unmet" && <small aria-hidden="true">{say("mark-unmet")}</small>}
      {floor === "mustshow" && <small aria-hidden="true">{say("mark-mustshow")}</small>}
      {floor === "noscore" && <small aria-hidden="true">{say("mark-unseen")}</small>}
      <span className="unseen">
        {say("cell-place", {
          place: !place
            ? "none"
            : Math.abs(place.offset) < 0.005
              ? "at"
              : place.offset < 0
                ? "below"
                : "above",
          floor,
          meets,
        })}
      </span>
    </span>
  );
}

const inked = (share: number): CSSProperties => ({ "--inked": share }) as CSSProperties;

function Foot({ candidate, outcomes }: { candidate: CandidateId; outcomes: Outcomes }) {
  const { book } = useNotebook();
  const say = useSay(boardWords);
  const outcome = outcomes.of(candidate);
  const issued = book.decisions.verdict(candidate);
  const presence = book.floor.presence(candidate);
  if (issued) {
    return (
      <span className={css.foot} data-issued="">
        <Seal size={36} label={say("issued")} />
        <span>
          <b>{say(`foot-issued-${issued.body.result}`)}</b>{" "}
          {outcomes.doubt(candidate) && <small>{say("foot-doubted")}</small>}
        </span>
      </span>
    );
  }
  if (presence !== "checked-in" && (presence !== "expected" || !outcome || !isOpen(outcome)))
    return <span className={css.foot}>{say(`foot-${presence}`)}</span>;
  if (book.plan.isClosed) return <span className={css.foot}>{say("foot-closed")}</span>;
  if (!outcome) return null;
  if (!isOpen(outcome)) {
    const counting = outcome.sections.filter(({ isExcused }) => !isExcused);
    const open = counting.filter(({ isRevealed }) => isRevealed).length;
    return <span className={css.foot}>{say("foot-waits", { open, all: counting.length })}</span>;
  }
  const questions = outcome.questions.filter(
    ({ isSettled, effect }) => !isSettled && effect === "could-change",
  ).length;
  return (
    <span className={css.foot}>
      <b>{say(`foot-${outcome.computed}`)}</b>
      <span>
        {say("foot-questions", { count: isIssuable(outcome) ? 0 : Math.max(1, questions) })}
      </span>
    </span>
  );
}
