import { useState } from "react";
import { Link } from "react-router";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { calledIndex, waveScript } from "../../../belt-test/planning/wave-script.ts";
import { askedAgain } from "../../../belt-test/scorebook/asked-again.ts";
import { isUnderWay } from "../../../belt-test/scorebook/is-under-way.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import { FreeText } from "../../../belt-test/scorebook/side-bodies.ts";
import { unfinished } from "../../../belt-test/scorebook/unfinished.ts";
import { isIssuable } from "../../../belt-test/verdict/question-queue.ts";
import type { PersonId } from "../../../book/identity.ts";
import { clockTime } from "../../../words/dates.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { EmptyState } from "../../parts/empty-state.tsx";
import { Key, KeyWords, keyLook } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { useOutcomes } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import { WayAround } from "../../session/way-around.tsx";
import { BoardAway } from "./board-away.tsx";
import { BoardClose } from "./board-close.tsx";
import { BoardIssue } from "./board-issue.tsx";
import { BoardJudge } from "./board-judge.tsx";
import { BoardLine } from "./board-line.tsx";
import { BoardMissed } from "./board-missed.tsx";
import { BoardPanel } from "./board-panel.tsx";
import { BoardQuestions } from "./board-questions.tsx";
import css from "./board-screen.module.css";
import { BoardStrip } from "./board-strip.tsx";
import { BoardTell } from "./board-tell.tsx";
import { BoardUnplanned } from "./board-unplanned.tsx";
import { callName } from "./call-name.ts";
import { useColumns } from "./use-columns.ts";

/*
 * The chief examiner, at the table with twenty minutes and a hall of parents; eyes mostly on the floor.
 * A look is two seconds: what is called, who is behind, which child needs thought. So exceptions stand out and the rest is quiet.
 */
export function BoardScreen() {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const outcomes = useOutcomes();
  const columns = useColumns();
  const [chosenWave, setChosenWave] = useState<number>();
  const [judge, setJudge] = useState<PersonId>();
  const [isIssuing, setIssuing] = useState(false);
  const [isClosing, setClosing] = useState(false);
  const [issuedNow, setIssuedNow] = useState<number>();

  const call = book.floor.currentCall?.body;
  const waves = book.plan.filledWaves;
  const isFilled = (one: number | undefined) => one !== undefined && waves.includes(one);
  const wave = [chosenWave, call?.wave, waves[0]].find(isFilled);
  const steps = wave === undefined ? [] : waveScript(book, wave);
  const at = wave === undefined ? -1 : calledIndex(book, wave, steps);
  const lanes = wave === undefined ? [] : book.plan.lanes(wave);
  const order = [...new Set(steps.map(({ section }) => section))];
  const ready = outcomes.all.filter(
    (outcome) =>
      !book.decisions.verdict(outcome.candidate) &&
      isIssuable(outcome) &&
      askedAgain(book, outcome.candidate).length === 0,
  );
  const issued = book.plan.entrants.filter(({ candidate }) =>
    book.decisions.verdict(candidate),
  ).length;
  const { undecided, unreleased } = unfinished(book);
  const isDecided = book.plan.entrants.length > 0 && undecided.length === 0;
  const doubted = outcomes.all.flatMap(({ candidate }) =>
    outcomes.doubt(candidate) ? [candidate] : [],
  );
  const toRelease = unreleased.filter((candidate) => !doubted.includes(candidate)).length;
  const late = outcomes.queue.filter(({ candidate }) => book.decisions.verdict(candidate)).length;
  const over = [
    ...new Set(
      outcomes.answered.flatMap(({ candidate, question }) =>
        question.effect === "could-change" ? [candidate] : [],
      ),
    ),
  ];
  const isDone = undecided.length + toRelease + doubted.length + late === 0;
  // Each with its own noun: they are not the same kind of thing, and are not added up.
  const toClose = [
    ...(undecided.length > 0 ? [say("close-under-undecided", { count: undecided.length })] : []),
    ...(toRelease > 0 ? [say("close-under-unreleased", { count: toRelease })] : []),
    ...(doubted.length > 0 ? [say("close-under-doubted", { count: doubted.length })] : []),
    ...(late > 0 ? [say("close-under-late", { count: late })] : []),
  ].join(" · ");

  if (!book.plan.isClosed && !isUnderWay(book)) {
    return (
      <main className="between-bands">
        <header className={css.now}>
          <h1>{say("title-before")}</h1>
          <WayAround />
        </header>
        <EmptyState
          title={book.plan.opened?.title ?? say("title-before")}
          keys={
            <Link {...keyLook} to={pageAddress(notebook.pass.grading, "set-up")}>
              {say("before-key")}
            </Link>
          }
        >
          {say("before-text")}
        </EmptyState>
      </main>
    );
  }

  return (
    <main className="between-bands">
      <header className={css.now}>
        <Called book={book} />
        <WayAround />
      </header>
      <div className={css.body}>
        <BoardQuestions outcomes={outcomes} />
        <section className={css.line} aria-labelledby="board-line">
          <div className={css.lineHead}>
            <h2 id="board-line">{say("line")}</h2>
            <fieldset className={css.waves}>
              <legend className="unseen">{say("waves")}</legend>
              {waves.map((one) => (
                <Key
                  key={one}
                  pressed={one === wave}
                  under={one === call?.wave && !book.plan.isClosed ? say("wave-now") : undefined}
                  onClick={() => setChosenWave(one)}
                >
                  {say("wave-key", { wave: one })}
                </Key>
              ))}
            </fieldset>
          </div>
          <BoardAway />
          <BoardUnplanned />
          {wave !== undefined && <BoardMissed wave={wave} />}
          {lanes.length === 0 && <p className={css.quiet}>{say("line-empty")}</p>}
          {inBlocks(lanes, columns).map((block) => (
            <BoardLine key={block.join("/")} candidates={block} order={order} outcomes={outcomes} />
          ))}
          {wave !== undefined && steps.length > 0 && (
            <BoardStrip wave={wave} steps={steps} now={at} />
          )}
          {lanes.length > 0 && <p className={css.quiet}>{say("line-hint")}</p>}
        </section>
        <BoardPanel wave={wave} step={steps[at]} onChoose={setJudge} />
      </div>
      <footer className={css.keys} data-part="lower-keys">
        {issuedNow !== undefined && (
          <Notice kind="done">{say("issue-done", { count: issuedNow })}</Notice>
        )}
        <p className={css.quiet}>
          {say("facts-issued", { issued, candidates: issued + undecided.length })}
        </p>
        {/* Never where the key of the verdicts stood: before it, and before what may push it into a row of its own. */}
        {!book.plan.isClosed && (
          <Key
            kind={isDone && isDecided ? "ink" : "quiet"}
            under={isDone ? say("close-under-nothing") : toClose}
            onClick={() => setClosing(true)}
          >
            {say("close-key")}
          </Key>
        )}
        <Link
          {...keyLook}
          to={pageAddress(notebook.pass.grading, "sheets")}
          data-kind={ready.length === 0 && toRelease > 0 ? "ink" : "plain"}
        >
          <KeyWords under={say("sheets-under", { waiting: toRelease })}>{say("sheets")}</KeyWords>
        </Link>
        <BoardTell />
        {!book.plan.isClosed && (
          <Key
            kind={ready.length > 0 ? "ink" : "plain"}
            aria-disabled={ready.length === 0}
            under={say(
              ready.length > 0
                ? "issue-under"
                : isDecided
                  ? "issue-under-all-done"
                  : "issue-under-none",
            )}
            onClick={() => ready.length > 0 && setIssuing(true)}
          >
            {isDecided ? say("issue-all-done") : say("issue", { count: ready.length })}
          </Key>
        )}
      </footer>
      {judge && <BoardJudge judge={judge} wave={wave} onClose={() => setJudge(undefined)} />}
      {isClosing && (
        <BoardClose doubted={doubted} late={late} over={over} onClose={() => setClosing(false)} />
      )}
      <BoardIssue
        open={isIssuing}
        ready={ready}
        onClose={() => setIssuing(false)}
        onIssued={(count) => {
          setIssuing(false);
          setIssuedNow(count);
        }}
      />
    </main>
  );
}

/** What is called now, in the largest words of the page. */
function Called({ book }: { book: Scorebook }) {
  const say = useSay(boardWords);
  const call = book.floor.currentCall?.body;
  const facts = say("facts", {
    candidates: book.plan.entrants.length,
    judges: book.plan.seats.filter(({ roles }) => roles.includes("judge")).length,
  });
  if (book.plan.closing)
    return <Now title={say("title-closed")} text={<ClosedBy />} facts={facts} />;
  if (!call) return <Now title={say("title-nobody")} text={say("nobody-text")} facts={facts} />;
  const steps = waveScript(book, call.wave);
  const at = calledIndex(book, call.wave, steps);
  const { title, side, alias } = callName(book.plan.rubrics, call, say);
  const heading =
    at < 0
      ? say("title-wave", { wave: call.wave })
      : say("title-call", { wave: call.wave, set: at + 1, sets: steps.length });
  return (
    <Now
      title={heading}
      text={
        <>
          <b>{title}</b>
          {side && <span>{side}</span>}
          {alias && <i lang="ja-Latn">{alias}</i>}
          {book.floor.isPaused && <b className={css.paused}>{say("paused")}</b>}
        </>
      }
      facts={facts}
    />
  );
}

/** Who closed it, when, and why although something was open. */
function ClosedBy() {
  const notebook = useNotebook();
  const say = useSay(boardWords);
  const { closing } = notebook.book.plan;
  if (!closing) return null;
  const { reason } = closing.body;
  const name = personName(notebook, closing.by);
  const time = clockTime(closing.at, say.locale);
  const why = FreeText.safeParse(reason && notebook.sides.get(reason.id)?.body);
  return (
    <>
      <span>
        {name === undefined ? say("closed-at", { time }) : say("closed-by", { name, time })}
      </span>
      {why.success && <span>{say("closed-reason", { reason: why.data.text })}</span>}
    </>
  );
}

function Now({ title, text, facts }: { title: string; text?: React.ReactNode; facts: string }) {
  return (
    <div className={css.called}>
      <h1>{title}</h1>
      {text && <p className={css.item}>{text}</p>}
      <p className={css.quiet}>{facts}</p>
    </div>
  );
}

/** So many columns as the page has room for, in blocks of about the same size. */
function inBlocks(lanes: readonly CandidateId[], columns: number): CandidateId[][] {
  const blocks = Math.ceil(lanes.length / columns);
  const size = Math.ceil(lanes.length / Math.max(1, blocks));
  return Array.from({ length: blocks }, (_, block) =>
    lanes.slice(block * size, (block + 1) * size),
  );
}
