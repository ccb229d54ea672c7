import { useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { PersonId } from "../../../book/identity.ts";
import moreWords from "../../../words/en/judge-more.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./more-dialog.module.css";

interface StepBackProps {
  judge: PersonId;
  candidates: readonly CandidateId[];
  who: (candidate: CandidateId) => string;
  onDone: () => void;
}

/** A judge who should not judge somebody at all says so, in two taps: there is no way back. */
export function StepBack({ judge, candidates, who, onDone }: StepBackProps) {
  const notebook = useNotebook();
  const say = useSay(moreWords);
  const [chosen, setChosen] = useState<CandidateId>();
  const { panel } = notebook.book;
  const [stillJudged, left] = [false, true].map((isLeft) =>
    candidates.filter((candidate) => panel.isRecused(judge, candidate, null) === isLeft),
  ) as [CandidateId[], CandidateId[]];

  async function stepBack(candidate: CandidateId) {
    await notebook.write("recused", { candidate, section: null });
    onDone();
  }

  return (
    <section className={css.part}>
      <h3>{say("back-title")}</h3>
      <p>{say("back-hint")}</p>
      <div className={css.keys}>
        {stillJudged.map((candidate) => (
          <Key
            key={candidate}
            pressed={chosen === candidate}
            onClick={() => setChosen(chosen === candidate ? undefined : candidate)}
          >
            {who(candidate)}
          </Key>
        ))}
      </div>
      {left.map((candidate) => (
        <p key={candidate}>{say("back-done", { who: who(candidate) })}</p>
      ))}
      {chosen && (
        <>
          <p role="status">{say("back-means", { who: who(chosen) })}</p>
          <Key kind="firm" onClick={() => void stepBack(chosen)}>
            {say("back-key", { who: who(chosen) })}
          </Key>
        </>
      )}
    </section>
  );
}
