import { useState } from "react";
import type { Line } from "../../../belt-test/feedback/line.ts";
import type { Chosen, SheetOf } from "../../../belt-test/feedback/sheet-of.ts";
import type { CandidateId } from "../../../belt-test/identity.ts";
import sheetWords from "../../../words/en/sheet.json" with { type: "json" };
import sheetsWords from "../../../words/en/sheets.json" with { type: "json" };
import { lineWords } from "../../../words/sheet-page-words.ts";
import { CheckField } from "../../parts/check-field.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { TextAreaField } from "../../parts/text-area-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import { useSideRecords } from "../../session/use-side-records.ts";
import css from "./sheets.module.css";

/** Two of each are read; more are not. */
const MOST = 2;
/** Offered at first; the weightiest stand first. */
const FIRST = 6;

export interface Draft {
  chosen: Chosen | undefined;
  words: string;
}

interface SheetEditorProps {
  candidate: CandidateId;
  made: SheetOf;
  draft: Draft;
  onDraft: (draft: Draft) => void;
}

/** Other lines from those that are true, and a sentence of the chief's own. The page beside it shows each change at once. */
export function SheetEditor({ candidate, made, draft, onDraft }: SheetEditorProps) {
  const notebook = useNotebook();
  const say = useSay(sheetsWords);
  const makeSide = useSideRecords();
  const [isKept, setKept] = useState(false);
  const { sheet, choices } = made;
  const now = {
    strong: sheet.strong.map(({ key }) => key),
    next: sheet.next.map(({ key }) => key),
  };
  const change = (next: Draft) => {
    setKept(false);
    onDraft(next);
  };

  async function keep() {
    const text = draft.words.trim();
    const side = text ? makeSide(candidate, "text", { text }) : undefined;
    await notebook.write(
      "sheet-edited",
      { candidate, ...(draft.chosen ? now : {}), ...(side ? { words: side.ref } : {}) },
      side ? { sides: [side.record] } : {},
    );
    setKept(true);
  }

  return (
    <section className={css.editor} aria-label={say("edit")}>
      <h2>{say("edit")}</h2>
      <div className={css.editorLines}>
        <Lines
          legend={say("edit-strong")}
          lines={choices.strong}
          chosen={now.strong}
          audience={sheet.audience}
          onChoose={(strong) => change({ ...draft, chosen: { ...now, strong } })}
        />
        <Lines
          legend={say("edit-next")}
          lines={choices.next}
          chosen={now.next}
          audience={sheet.audience}
          onChoose={(next) => change({ ...draft, chosen: { ...now, next } })}
        />
      </div>
      <TextAreaField
        label={say("edit-words")}
        hint={say("edit-words-hint")}
        rows={2}
        maxLength={280}
        value={draft.words}
        onChange={(words) => change({ ...draft, words })}
      />
      <div className="keys-row">
        <Key kind="quiet" onClick={() => change({ chosen: undefined, words: draft.words })}>
          {say("edit-computed")}
        </Key>
        <Key kind="ink" onClick={() => void keep()}>
          {say("edit-keep")}
        </Key>
      </div>
      {isKept && <Notice kind="done">{say("edit-kept")}</Notice>}
    </section>
  );
}

function Lines({
  legend,
  lines,
  chosen,
  audience,
  onChoose,
}: {
  legend: string;
  lines: readonly Line[];
  chosen: readonly string[];
  audience: "junior" | "adult";
  onChoose: (keys: string[]) => void;
}) {
  const say = useSay(sheetsWords);
  const saySheet = useSay(sheetWords);
  const [all, setAll] = useState(false);
  const shown = lines.filter(({ key }, at) => all || at < FIRST || chosen.includes(key));
  return (
    <fieldset>
      <legend>{legend}</legend>
      {lines.length === 0 && <p>{say("edit-none")}</p>}
      {shown.map((line) => {
        const isChosen = chosen.includes(line.key);
        return (
          <CheckField
            key={line.key}
            label={lineWords(line, audience, saySheet)}
            checked={isChosen}
            disabled={!isChosen && chosen.length >= MOST}
            onChange={(checked) =>
              onChoose(checked ? [...chosen, line.key] : chosen.filter((key) => key !== line.key))
            }
          />
        );
      })}
      {shown.length < lines.length && (
        <Key kind="quiet" onClick={() => setAll(true)}>
          {say("edit-more", { count: lines.length - shown.length })}
        </Key>
      )}
    </fieldset>
  );
}
