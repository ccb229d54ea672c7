import { useState } from "react";
import { Link, useParams, useSearchParams } from "react-router";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { VerdictResult } from "../../../belt-test/kinds/decision.ts";
import type { Rubric } from "../../../belt-test/rubric/rubric.ts";
import { askedAgain } from "../../../belt-test/scorebook/asked-again.ts";
import { cellsByOtherScale } from "../../../belt-test/scorebook/by-other-scale.ts";
import { placeKey } from "../../../belt-test/scorebook/cell.ts";
import type { EntryOf } from "../../../belt-test/scorebook/entry.ts";
import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import { FreeText } from "../../../belt-test/scorebook/side-bodies.ts";
import { isOpen } from "../../../belt-test/verdict/is-open.ts";
import type { Outcome, Question } from "../../../belt-test/verdict/outcome.ts";
import { isIssuable } from "../../../belt-test/verdict/question-queue.ts";
import {
  rivals,
  rubricsOfVerdicts,
  type VerdictDoubt,
} from "../../../belt-test/verdict/verdict-doubt.ts";
import type { PersonId } from "../../../book/identity.ts";
import { clockTime } from "../../../words/dates.ts";
import candidateWords from "../../../words/en/candidate.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { nameOf, type Told } from "../../in-words/question-in-words.ts";
import { resultInWords, retestHeadline } from "../../in-words/result-in-words.ts";
import { useTelling } from "../../in-words/use-told.ts";
import { Belt } from "../../parts/belt.tsx";
import { EmptyState } from "../../parts/empty-state.tsx";
import { Key, keyLook } from "../../parts/key.tsx";
import { LevelGlyph } from "../../parts/level-glyph.tsx";
import { Notice } from "../../parts/notice.tsx";
import { Seal } from "../../parts/seal.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import { useOutcomes } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import { WayAround } from "../../session/way-around.tsx";
import css from "./candidate.module.css";
import { CandidateAsk } from "./candidate-ask.tsx";
import { CandidateBack } from "./candidate-back.tsx";
import { type CellOfAll, rowsOf } from "./candidate-cells.ts";
import { CandidateQuestions } from "./candidate-questions.tsx";
import { CandidateSection } from "./candidate-section.tsx";
import { CandidateSettle } from "./candidate-settle.tsx";
import { CandidateSure } from "./candidate-sure.tsx";
import { CandidateVerdict } from "./candidate-verdict.tsx";
import { CandidateWaits } from "./candidate-waits.tsx";
import { CandidateWhole } from "./candidate-whole.tsx";
import { GiveRubricBack } from "./give-rubric-back.tsx";

/*
 * The chief examiner with the panel at the table, one child at a time; two minutes for a hard one, ten seconds for a clear one.
 * First the result in words and what could change it, read aloud to the panel; the marks beside it are the evidence they point at.
 */
export function CandidateScreen() {
  const { candidate } = useParams() as { candidate: CandidateId };
  const { book, pass } = useNotebook();
  const outcomes = useOutcomes();
  const outcome = outcomes.of(candidate);
  const told = useTelling()(candidate);
  const say = useSay(candidateWords);
  if (!told || !outcome || !book.plan.entrant(candidate)) {
    return (
      <main className="between-bands">
        <header className={css.band}>
          <h1>{say("unknown")}</h1>
          <WayAround />
        </header>
        <EmptyState
          title={say("unknown")}
          keys={
            <Link {...keyLook} to={pageAddress(pass.grading, "board")}>
              {say("to-board")}
            </Link>
          }
        >
          {say("unknown-text")}
        </EmptyState>
      </main>
    );
  }
  // Another candidate is another page: what was unfolded or half written does not follow.
  const doubt = outcomes.doubt(candidate);
  return <CandidatePage key={candidate} told={told} outcome={outcome} doubt={doubt} />;
}

type Doing =
  | { kind: "ask"; cell: CellOfAll; judges: readonly PersonId[] }
  | { kind: "settle"; question: Question; title: string }
  | { kind: "verdict"; result: VerdictResult };

function CandidatePage({
  told,
  outcome,
  doubt,
}: {
  told: NonNullable<ReturnType<ReturnType<typeof useTelling>>>;
  outcome: Outcome;
  doubt: VerdictDoubt | undefined;
}) {
  const { notebook, rubric, candidate, say } = told;
  const { book } = notebook;
  const [search] = useSearchParams();
  const now = search.get("question");
  const [doing, setDoing] = useState<Doing>();
  const entrant = book.plan.entrant(candidate);
  const given = givenName(notebook, candidate);
  const open = outcome.sections.filter(({ isRevealed }) => isRevealed);
  const steppedBack = book.panel.recusedFrom(candidate);
  const unread = cellsByOtherScale(book, candidate);
  const firstOpen = sectionToUnfold(outcome, now);
  const stop = () => setDoing(undefined);

  return (
    <main className="between-bands">
      <header className={css.band}>
        <h1>
          <b>{entrant?.number}</b> {given}
        </h1>
        <p className={css.belts}>
          <Belt belt={rubric.from.belt} />
          <span>{say("belts-to")}</span>
          <Belt belt={rubric.to.belt} />
        </p>
        <WayAround />
      </header>
      <div className={css.body} data-closed={open.length === 0 || undefined}>
        <div className={css.words}>
          <Result told={told} outcome={outcome} doubt={doubt} />
          {isOpen(outcome) && isHere(book, candidate) && (
            <>
              <CandidateSure told={told} outcome={outcome} />
              <CandidateWhole told={told} outcome={outcome} />
            </>
          )}
          {steppedBack.length > 0 && (
            <p className="quiet">
              {say("stepped-back", {
                names: listed(
                  steppedBack.map((judge) => nameOf(told, judge)),
                  say.locale,
                ),
              })}
            </p>
          )}
          {unread > 0 && (
            <Notice kind="urgent" title={say("other-scale", { count: unread })}>
              {say("other-scale-text", { rubric: rubric.title })}
            </Notice>
          )}
          <CandidateWaits told={told} outcome={outcome} />
          {open.length > 0 && isHere(book, candidate) && (
            <CandidateQuestions
              told={told}
              outcome={outcome}
              now={now}
              onSettle={(question, title) => setDoing({ kind: "settle", question, title })}
              onAsk={(question) => {
                const cell = cellOf(told, outcome, question);
                if (cell) setDoing({ kind: "ask", cell, judges: question.judges ?? [] });
              }}
            />
          )}
        </div>
        {open.length > 0 && (
          <section className={css.marks} aria-labelledby="marks">
            <div className={css.marksHead}>
              <h2 id="marks">{say("sections")}</h2>
              <p className={css.marksLegend}>
                <span className={css.legendStroke} aria-hidden="true" /> {say("panel-mark-key")}
                <span className={css.legendBead} aria-hidden="true" /> {say("bead-key")}
              </p>
              <p className={css.marksLegend} data-levels="" aria-hidden="true">
                {rubric.scale.levels.map(({ title }, place) => (
                  <span key={title}>
                    <LevelGlyph level={place + 1} meetsLevel={rubric.scale.meetsLevel} size={18} />{" "}
                    {title}
                  </span>
                ))}
                <span>
                  <LevelGlyph level="not-seen" meetsLevel={rubric.scale.meetsLevel} size={18} />{" "}
                  {say("not-seen")}
                </span>
              </p>
            </div>
            {rubric.sections.map((section) => {
              const standing = open.find(({ id }) => id === section.id);
              return standing ? (
                <CandidateSection
                  key={section.id}
                  told={told}
                  section={section}
                  outcome={outcome}
                  standing={standing}
                  startsOpen={section.id === firstOpen}
                  onAsk={(cell) =>
                    setDoing({
                      kind: "ask",
                      cell,
                      // Whoever left it blank is asked for it; else all are to talk.
                      judges:
                        cell.blank.length > 0 ? cell.blank : cell.threads.map(({ judge }) => judge),
                    })
                  }
                />
              ) : null;
            })}
          </section>
        )}
      </div>
      <Footer
        told={told}
        outcome={outcome}
        onVerdict={(result) => setDoing({ kind: "verdict", result })}
      />
      {doing?.kind === "ask" && (
        <CandidateAsk told={told} cell={doing.cell} judges={doing.judges} onClose={stop} />
      )}
      {doing?.kind === "settle" && (
        <CandidateSettle told={told} question={doing.question} title={doing.title} onClose={stop} />
      )}
      {doing?.kind === "verdict" && (
        <CandidateVerdict told={told} outcome={outcome} result={doing.result} onClose={stop} />
      )}
    </main>
  );
}

/** The section of the question that led here, else of the weightiest, else the first below its floor. */
function sectionToUnfold({ questions, sections }: Outcome, now: string | null): string | undefined {
  const led = questions.find(({ key, section }) => key === now && section);
  const weightiest = questions.find(({ isSettled, section }) => !isSettled && section);
  const unmet = sections.find(({ isRevealed, unmet }) => isRevealed && unmet.length > 0);
  return led?.section ?? weightiest?.section ?? unmet?.id;
}

function cellOf(told: Told, outcome: Outcome, question: Question): CellOfAll | undefined {
  const { section: id, item, side, criterion } = question;
  const section = told.rubric.sections.find((one) => one.id === id);
  if (!section || item === undefined || side === undefined || !criterion) return undefined;
  const key = placeKey({ section: section.id, item, side, criterion });
  return rowsOf(told.notebook.book, told.candidate, told.rubric, section, outcome)
    .flatMap(({ cells }) => cells)
    .find(({ place }) => placeKey(place) === key);
}

function issuedHeadline(
  { say, rubric }: Told,
  outcome: Outcome,
  { body: { result, retestSections } }: EntryOf<"verdict">,
): string {
  if (result === "pass") return say("issued-pass");
  return say("issued-retest", {
    sections: retestHeadline({ say, rubric }, { ...outcome, retestSections }),
  });
}

/** A verdict in one line, with who gave it and why. */
function issuedInWords(told: Told, outcome: Outcome, issued: EntryOf<"verdict">): string {
  const { say, notebook } = told;
  const { reason } = issued.body;
  const read = FreeText.safeParse(reason && notebook.sides.get(reason.id)?.body);
  return say("doubt-rival-one", {
    result: issuedHeadline(told, outcome, issued),
    name: nameOf(told, issued.by),
    time: clockTime(issued.at, say.locale),
    reason: read.success ? read.data.text : "none",
  });
}

function Result({
  told,
  outcome,
  doubt,
}: {
  told: Told;
  outcome: Outcome;
  doubt: VerdictDoubt | undefined;
}) {
  const { say, notebook, candidate } = told;
  const { book } = notebook;
  const { headline, why } = resultInWords(told, outcome);
  const issued = book.decisions.verdict(candidate);
  const reason = FreeText.safeParse(
    issued?.body.reason && notebook.sides.get(issued.body.reason.id)?.body,
  );
  const differs =
    issued &&
    isOpen(outcome) &&
    (issued.body.computed !== outcome.computed ||
      (outcome.computed === "retest" &&
        retestHeadline(told, outcome) !== retestHeadline(told, { ...outcome, ...issued.body }) &&
        issued.body.result === issued.body.computed));
  const [giving, setGiving] = useState<Rubric>();
  const isOfRubrics = doubt === "other-rubric" || doubt === "rival";
  // A rubric that was replaced is not there any more.
  const before = (isOfRubrics ? rubricsOfVerdicts(book, candidate) : []).filter(
    ({ id }) => id !== told.rubric.id,
  );
  return (
    <section className="stack-2" data-part="result">
      {issued && (
        <div className={css.issued}>
          <Seal size={56} lands />
          <div>
            <h2>{issuedHeadline(told, outcome, issued)}</h2>
            <p className="quiet">
              {say("issued-by", {
                name: nameOf(told, issued.by),
                time: clockTime(issued.at, say.locale),
              })}
            </p>
            {reason.success && <p>{say("issued-reason", { reason: reason.data.text })}</p>}
            {differs && <p>{say("issued-otherwise", { result: headline })}</p>}
          </div>
        </div>
      )}
      {doubt && (
        <Notice
          title={say("doubt-title")}
          kind="urgent"
          {...(before.length > 0 && {
            keys: before.map((one) => (
              <Key key={one.id} onClick={() => setGiving(one)}>
                {say("give-back", { title: one.title })}
              </Key>
            )),
          })}
        >
          {say(`doubt-${doubt}`)}
          {rivals(book, candidate).map((one) => (
            <p key={one.id}>{issuedInWords(told, outcome, one)}</p>
          ))}
        </Notice>
      )}
      {giving && (
        <GiveRubricBack
          told={told}
          rubric={giving}
          isRival={doubt === "rival"}
          onClose={() => setGiving(undefined)}
        />
      )}
      {(!issued || isOpen(outcome)) && (
        <>
          {issued ? (
            <h3>{say("computed-as", { result: headline })}</h3>
          ) : (
            <h2 className={css.headline}>{headline}</h2>
          )}
          {why.map((one) => (
            <p key={one}>{one}</p>
          ))}
        </>
      )}
    </section>
  );
}

function Footer({
  told,
  outcome,
  onVerdict,
}: {
  told: Told;
  outcome: Outcome;
  onVerdict: (result: VerdictResult) => void;
}) {
  const { say, notebook, candidate } = told;
  const { book } = notebook;
  const { queue } = useOutcomes();
  const [search] = useSearchParams();
  const order = book.plan.entrants.map((entrant) => entrant.candidate);
  const at = order.indexOf(candidate);
  const before = order[at - 1];
  const after = order[at + 1];
  const led = queue.findIndex(
    (one) => one.candidate === candidate && one.question.key === search.get("question"),
  );
  const next =
    led >= 0
      ? (queue[led + 1] ?? queue.find((one) => one.candidate !== candidate))
      : (queue.find((one) => one.candidate !== candidate) ?? queue[0]);
  const issued = book.decisions.verdict(candidate);
  const asked = askedAgain(book, candidate);
  const isReady = !issued && asked.length === 0 && isIssuable(outcome);

  const who = (one: CandidateId) => ({
    number: book.plan.entrant(one)?.number ?? "",
    given: givenName(notebook, one),
  });
  const under = (result: VerdictResult) => {
    if (issued) return say("issue-under-again");
    if (asked.length > 0)
      return say("issue-under-asked", {
        names: listed(
          asked.map((judge) => nameOf(told, judge)),
          say.locale,
        ),
      });
    return say(
      isReady && result === outcome.computed ? "issue-under-computed" : "issue-under-override",
    );
  };
  const kind = (result: VerdictResult) =>
    isReady && result === outcome.computed ? ("seal" as const) : ("plain" as const);

  return (
    <footer className={css.keys} data-part="lower-keys">
      <nav className={css.around} aria-label={say("around")}>
        {before && (
          <Link className={css.step} to={`../${before}`} relative="path" rel="prev">
            <span aria-hidden="true">←</span> <span>{say("who", who(before))}</span>
          </Link>
        )}
        {after && (
          <Link className={css.step} to={`../${after}`} relative="path" rel="next">
            <span>{say("who", who(after))}</span> <span aria-hidden="true">→</span>
          </Link>
        )}
        {next && (
          <Link
            className={css.step}
            data-question=""
            to={`../${next.candidate}?question=${encodeURIComponent(next.question.key)}`}
            relative="path"
          >
            <b>{say("next-question")}</b>
            <small>{say("who", who(next.candidate))}</small>
          </Link>
        )}
      </nav>
      {!isHere(book, candidate) && (
        <div className={css.issue}>
          <p className="quiet">{say(issued ? "issue-gone-issued" : "issue-gone")}</p>
          {book.floor.withdrawal(candidate) && <CandidateBack told={told} />}
        </div>
      )}
      {/* A verdict that was issued stands until another is, wherever the child is. */}
      {!isHere(book, candidate) && !issued ? null : !isOpen(outcome) ? (
        <p className="quiet">{say("issue-waits")}</p>
      ) : (
        <div className={css.issue}>
          {/* The result stands at the top of the page, which may be out of sight. */}
          {issued && (
            <p className={css.issueDone}>
              <Seal size={28} lands /> {issuedHeadline(told, outcome, issued)}
            </p>
          )}
          <Key kind={kind("retest")} under={under("retest")} onClick={() => onVerdict("retest")}>
            {say("issue-retest")}
          </Key>
          <Key kind={kind("pass")} under={under("pass")} onClick={() => onVerdict("pass")}>
            {say("issue-pass")}
          </Key>
        </div>
      )}
    </footer>
  );
}
