import { useState } from "react";
import type { PersonId } from "../../../book/identity.ts";
import { levelInWords, nameOf, placeInWords, type Told } from "../../in-words/question-in-words.ts";
import { CheckField } from "../../parts/check-field.tsx";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import css from "./candidate.module.css";
import type { CellOfAll } from "./candidate-cells.ts";

interface CandidateAskProps {
  told: Told;
  cell: CellOfAll;
  /** Who is asked unless the chief says otherwise. */
  judges: readonly PersonId[];
  onClose: () => void;
}

/** Asks judges to look at one cell again: marks are open, so they may talk and mark anew. */
export function CandidateAsk({ told, cell, judges, onClose }: CandidateAskProps) {
  const { say, notebook, candidate } = told;
  useReturnOfFocus();
  const [asked, setAsked] = useState<readonly PersonId[]>(judges);

  async function ask() {
    // Whoever was replaced marks nothing any more.
    for (const judge of new Set(asked.map((one) => notebook.book.panel.successor(one))))
      await notebook.write("remark-asked", { judge, candidate, ...cell.place, ask: "talk" });
    onClose();
  }

  return (
    <Dialog
      open
      title={say("ask-title")}
      closeWord={say("cancel")}
      onClose={onClose}
      keys={
        <Key
          kind="ink"
          aria-disabled={asked.length === 0}
          onClick={() => asked.length > 0 && void ask()}
        >
          {say("ask-confirm", { count: asked.length })}
        </Key>
      }
    >
      <p>
        <b>{placeInWords(told, cell.place)}</b>
      </p>
      <p>{say("ask-text")}</p>
      <fieldset className={css.choice}>
        <legend>{say("ask-judges")}</legend>
        {[...cell.threads, ...cell.blank.map((judge) => ({ judge, level: undefined }))].map(
          ({ judge, level }) => (
            <CheckField
              key={judge}
              label={say("mark-of", {
                name: nameOf(told, judge),
                level:
                  level === undefined
                    ? say("blank")
                    : levelInWords(told, level, cell.place.criterion),
              })}
              checked={asked.includes(judge)}
              onChange={(checked) =>
                setAsked(checked ? [...asked, judge] : asked.filter((one) => one !== judge))
              }
            />
          ),
        )}
      </fieldset>
    </Dialog>
  );
}
