import type { CandidateId } from "../../../belt-test/identity.ts";
import { heldOf } from "../../../belt-test/scorebook/what-was-held.ts";
import type { Outcome } from "../../../belt-test/verdict/outcome.ts";
import { knownAtVerdict } from "../../../belt-test/verdict/verdict-doubt.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import candidateWords from "../../../words/en/candidate.json" with { type: "json" };
import { retestHeadline } from "../../in-words/result-in-words.ts";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./board-screen.module.css";

interface BoardIssueProps {
  open: boolean;
  ready: readonly Outcome[];
  onClose: () => void;
  onIssued: (count: number) => void;
}

/** Every clear verdict at once, each listed by name before anything is sealed. */
export function BoardIssue({ open, ready, onClose, onIssued }: BoardIssueProps) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const sayCandidate = useSay(candidateWords);
  const count = ready.length;
  const pass = ready.filter(({ computed }) => computed === "pass");
  const retest = ready.filter(({ computed }) => computed === "retest");

  async function issue() {
    // What each verdict rests on is what this device held when the chief said yes.
    const bases = new Map(ready.map(({ candidate }) => [candidate, heldOf(book, candidate)]));
    const known = new Map(
      ready.map(({ candidate }) => [candidate, knownAtVerdict(book, candidate)]),
    );
    await Promise.all(
      ready.map(({ candidate, computed, retestSections }) =>
        computed === "incomplete"
          ? undefined
          : notebook.write("verdict", {
              candidate,
              result: computed,
              retestSections: [...retestSections],
              computed,
              basis: bases.get(candidate) ?? {},
              ...known.get(candidate),
            }),
      ),
    );
    onIssued(count);
  }

  return (
    <Dialog
      open={open}
      title={say("issue-title", { count })}
      closeWord={say("cancel")}
      onClose={onClose}
      keys={
        <Key kind="seal" onClick={() => void issue()}>
          {say("issue-confirm", { count })}
        </Key>
      }
    >
      <p>{say("issue-text")}</p>
      {pass.length > 0 && (
        <section className={css.issueList}>
          <h3>{say("issue-pass")}</h3>
          <ul>
            {pass.map(({ candidate }) => (
              <li key={candidate}>{who(candidate)}</li>
            ))}
          </ul>
        </section>
      )}
      {retest.length > 0 && (
        <section className={css.issueList}>
          <h3>{say("issue-retest")}</h3>
          <ul data-wide="">
            {retest.map((outcome) => {
              const rubric = book.plan.rubricOf(outcome.candidate);
              return (
                <li key={outcome.candidate}>
                  {who(outcome.candidate)}{" "}
                  <span>{rubric && retestHeadline({ say: sayCandidate, rubric }, outcome)}</span>
                </li>
              );
            })}
          </ul>
        </section>
      )}
    </Dialog>
  );

  function who(candidate: CandidateId) {
    return (
      <b>
        {book.plan.entrant(candidate)?.number} {givenName(notebook, candidate)}
      </b>
    );
  }
}
