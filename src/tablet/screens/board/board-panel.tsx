import type { CandidateId } from "../../../belt-test/identity.ts";
import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import type { Step } from "../../../belt-test/script/script.ts";
import type { PersonId } from "../../../book/identity.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import { type BehindIn, behindEarlier } from "../../session/behind-earlier.ts";
import { judgeTally, sectionsToLock } from "../../session/board-coverage.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { isDoneWith, workState } from "../../session/work-state.ts";
import css from "./board-screen.module.css";
import { sectionTitle } from "./call-name.ts";
import { useMinute } from "./use-minute.ts";

interface BoardPanelProps {
  wave: number | undefined;
  /** What is called now in this wave. */
  step: Step | undefined;
  onChoose: (judge: PersonId) => void;
}

/** Each judge on one line: what is blank in the call of this moment and how far they are; a second line only where something is amiss. */
export function BoardPanel({ wave, step, onChoose }: BoardPanelProps) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  // Whoever was taken out, and whose marks are waited for alone, is on the panel until the chief opens those.
  const waitedFor = new Set(
    book.panel.watched.flatMap(({ candidate, section }) =>
      book.openings.isRevealed(candidate, section) ? [] : book.panel.judgesOf(candidate, section),
    ),
  );
  const judges = book.plan.seats.filter(
    ({ person, roles }) => roles.includes("judge") || waitedFor.has(person),
  );
  const behind = book.plan.isClosed ? new Map() : behindEarlier(notebook, wave);
  return (
    <section className={css.panel} aria-labelledby="board-panel">
      <h2 id="board-panel">{say("panel")}</h2>
      {judges.length === 0 ? (
        <p className={css.quiet}>{say("panel-empty")}</p>
      ) : (
        <ul>
          {judges.map(({ person }) => (
            <li key={person}>
              <JudgeRow
                judge={person}
                wave={wave}
                step={step}
                behind={behind.get(person) ?? []}
                onChoose={onChoose}
              />
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

function JudgeRow({
  judge,
  wave,
  step,
  behind,
  onChoose,
}: BoardPanelProps & { judge: PersonId; behind: readonly BehindIn[] }) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const successor = book.panel.successor(judge);
  const lanes = wave === undefined ? [] : book.plan.lanes(wave);
  const watched = lanes.filter((candidate) =>
    (book.plan.rubricOf(candidate)?.sections ?? []).some(({ id }) =>
      book.panel.judgesOf(candidate, id).includes(judge),
    ),
  );
  const here = watched.filter((candidate) => isHere(book, candidate));
  const { asked, filled } = judgeTally(notebook, judge, here);
  const toLock = sectionsToLock(notebook, judge, here).length;
  const numbers = watched.map((candidate) => book.plan.entrant(candidate)?.number ?? "").join(" ");
  return (
    <button
      type="button"
      className={css.judgeRow}
      aria-haspopup="dialog"
      disabled={book.plan.isClosed}
      onClick={() => onChoose(judge)}
    >
      <b>{personName(notebook, judge) ?? say("somebody")}</b>
      {state()}
      {successor !== judge ? (
        <span className={css.judgeRowMore}>
          {say("replaced", { name: personName(notebook, successor) ?? say("somebody") })}
        </span>
      ) : (
        <span className="unseen">
          {watched.length > 0 ? say("watching", { numbers }) : say("watching-nobody")}
        </span>
      )}
      {behind.map(({ wave: earlier, section, calls }) => (
        <span className={css.judgeRowMore} data-behind="" key={`${earlier}/${section}`}>
          {say("state-behind", { wave: earlier, section: sectionTitle(book, section), calls })}
        </span>
      ))}
      <LinkOf judge={judge} />
      {asked > 0 && !book.plan.isClosed && (
        <span className={css.judgeRowBar}>
          <span style={{ width: `${(100 * filled) / asked}%` }} />
          <span className="unseen">{say("progress", { filled, asked })}</span>
        </span>
      )}
    </button>
  );

  function state() {
    // Nobody is asked for a mark any more, so none is missing.
    if (!step || wave === undefined || book.plan.isClosed) return null;
    const theirs = step.candidates.filter(
      (candidate) =>
        book.panel.judgesOf(candidate, step.section).includes(judge) && isHere(book, candidate),
    );
    if (theirs.length === 0) return <span>{say("state-idle")}</span>;
    const isLocked = (candidate: CandidateId) =>
      workState(notebook, judge, candidate, step.section) === "locked";
    if (theirs.every(isLocked))
      return (
        <span>{toLock > 0 ? say("state-to-lock", { count: toLock }) : say("state-locked")}</span>
      );
    if (isDoneWith(notebook, judge, wave, step)) return <span>{say("state-marked")}</span>;
    // The first side of two that are marked together: nobody is late yet.
    return step.asked ? (
      <span data-blank="">{say("state-blank")}</span>
    ) : (
      <span>{say("state-later")}</span>
    );
  }
}

/** Nothing where all is well: the tablet is in reach and holds nothing back. */
function LinkOf({ judge }: { judge: PersonId }) {
  const { news, link, book } = useNotebook();
  const say = useSay(boardWords);
  const now = useMinute();
  if (link === "none" || book.plan.isClosed) return null;
  const devices = news.presence.filter(({ person }) => person === judge);
  const unsent = devices.reduce((sum, device) => sum + device.unsent, 0);
  if (devices.length === 0) return <span className={css.judgeRowMore}>{say("link-never")}</span>;
  if (!devices.some(({ online }) => online)) {
    const last = Math.max(...devices.map(({ lastSeenAtMs }) => lastSeenAtMs));
    const minutes = Math.max(0, Math.floor((now - last) / 60_000));
    return (
      <span className={css.judgeRowMore} data-away="">
        {say("link-offline", { minutes })}
        {unsent > 0 && ` · ${say("link-unsent")}`}
      </span>
    );
  }
  return unsent > 0 ? <span className={css.judgeRowMore}>{say("link-unsent")}</span> : null;
}
