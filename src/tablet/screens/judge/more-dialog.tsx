import type { SyntheticEvent } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { JudgeCall } from "../../../belt-test/planning/judge-calls.ts";
import type { PersonId } from "../../../book/identity.ts";
import moreWords from "../../../words/en/judge-more.json" with { type: "json" };
import markingWords from "../../../words/en/marking.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { SwapChoice } from "../../parts/swap-choice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { LinesAside } from "../../session/lines-aside.tsx";
import { useNotebook } from "../../session/services.tsx";
import { useSideRecords } from "../../session/use-side-records.ts";
import type { JudgeHand } from "./judge-hand.ts";
import css from "./more-dialog.module.css";
import { StepBack } from "./step-back.tsx";
import { type Pair, staysAtSwap, swapChildren } from "./swap-children.ts";

const relations = ["own-student", "family", "other"] as const;

interface MoreDialogProps {
  judge: PersonId;
  hand: JudgeHand;
  call: JudgeCall;
  wave: number;
  candidates: readonly CandidateId[];
  who: (candidate: CandidateId) => string;
  onClose: () => void;
}

/** What a judge needs now and then, and never while the floor moves: a swap of lanes, a declared relation, stepping back from a child, a note. */
export function MoreDialog({ judge, hand, call, wave, candidates, who, onClose }: MoreDialogProps) {
  const notebook = useNotebook();
  const makeSide = useSideRecords();
  const say = useSay(moreWords);
  const sayOfBoard = useSay(markingWords);
  const { book } = notebook;

  /** Nothing that a judge wrote goes, or stays behind, without a word. */
  function warning(pair: Pair): string | undefined {
    const stays = staysAtSwap({ book, judge, call, wave }, pair);
    if (typeof stays === "string") return say(`swap-stays-${stays}`);
    if (stays.length === 0) return undefined;
    const titles = pair.flatMap((one) => book.plan.rubricOf(one)?.criteria ?? []);
    const what = stays.map((id) => titles.find((one) => one.id === id)?.title ?? id);
    return say("swap-stays", { what: listed(what, say.locale) });
  }

  async function keepNote(event: SyntheticEvent<HTMLFormElement>) {
    event.preventDefault();
    const data = new FormData(event.currentTarget);
    const text = String(data.get("text") ?? "").trim();
    const candidate = String(data.get("candidate")) as CandidateId;
    if (!text) return;
    const { ref, record } = makeSide(candidate, "text", { text });
    const { section, item, markedSide: side } = call.step;
    await notebook.write(
      "note",
      { candidate, section, item, side, text: ref },
      { sides: [record] },
    );
    onClose();
  }

  return (
    <Dialog open title={sayOfBoard("more")} onClose={onClose}>
      {candidates.length > 1 && (
        <section className={css.part}>
          <h3>{say("swap-title")}</h3>
          <p>{say("swap-hint")}</p>
          <SwapChoice
            candidates={candidates}
            who={who}
            warning={warning}
            onSwap={(pair) => {
              swapChildren(hand, { book, judge, call, wave }, pair);
              onClose();
            }}
          />
        </section>
      )}
      <section className={css.part}>
        <h3>{say("relation-title")}</h3>
        <p>{say("relation-hint")}</p>
        {candidates.map((candidate) => (
          <fieldset key={candidate} className={css.keys}>
            <legend>{who(candidate)}</legend>
            {relations.map((relation) => (
              <Key
                key={relation}
                pressed={book.panel.relation(judge, candidate) === relation}
                onClick={() => void notebook.write("related", { candidate, relation })}
              >
                {say(`relation-${relation}`)}
              </Key>
            ))}
          </fieldset>
        ))}
      </section>
      <StepBack judge={judge} candidates={candidates} who={who} onDone={onClose} />
      <form className={css.part} onSubmit={keepNote}>
        <h3>{say("note")}</h3>
        <p>{say("note-hint")}</p>
        <label>
          {say("note-for")}
          <select name="candidate">
            {candidates.map((candidate) => (
              <option key={candidate} value={candidate}>
                {who(candidate)}
              </option>
            ))}
          </select>
        </label>
        <textarea name="text" rows={2} maxLength={2000} aria-label={say("note")} />
        <Key type="submit">{say("note-keep")}</Key>
      </form>
      <LinesAside />
    </Dialog>
  );
}
