import { useState } from "react";
import { sectionOf } from "../../../core/rubric/lookup.ts";
import type { EntryBody } from "../../../core/scorebook/entry.ts";
import { anchorsWords } from "../../../words/anchors-words.ts";
import { listed } from "../../../words/listed.ts";
import { AnchorGrid } from "../../parts/anchor-grid.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { anchorCells } from "../../session/anchor-cells.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";

/** One performance shown to all judges: the marks that were agreed for it, and who has marked it. */
export function AnchorForm({ its }: { its: EntryBody<"anchor-set"> }) {
  const say = useSay(anchorsWords);
  const notebook = useNotebook();
  const { book } = notebook;
  const { anchor } = its;
  const kept = book.agreed(anchor)?.body.marks ?? [];
  const [draft, setDraft] = useState<typeof kept>();
  const rubric = book.rubric(its.rubric);
  const section = rubric && sectionOf(rubric, its.section);
  if (!rubric || !section) return null;
  const marks = draft ?? kept;
  const judges = book.seats.filter(({ roles }) => roles.includes("judge"));
  const done = judges.filter(({ person }) => book.anchorMarks(anchor, person).length > 0);
  async function keep() {
    await notebook.write("anchor-agreed", { anchor, marks });
    setDraft(undefined);
  }
  return (
    <article className="anchor">
      <h3>{say("anchor", { section: section.title })}</h3>
      <p>
        {done.length === 0
          ? say("marked-by-nobody")
          : say("marked-by", {
              names: listed(
                done.map(({ person }) => personName(notebook, person) ?? say("somebody")),
              ),
            })}
      </p>
      <details>
        <summary>
          {say("agreed-marks")} ·{" "}
          {say("agreed-count", { given: marks.length, cells: anchorCells(section) })}
        </summary>
        <AnchorGrid rubric={rubric} section={section} marks={marks} onMark={setDraft} />
      </details>
      <div className="anchor-keys">
        {draft ? (
          <Key kind="ink" onClick={() => void keep()}>
            {say("keep")}
          </Key>
        ) : (
          kept.length > 0 && <Notice kind="done">{say("kept")}</Notice>
        )}
        <Key
          kind="quiet"
          onClick={() => void notebook.write("anchor-set", { ...its, isOpen: false })}
        >
          {say("take-back")}
        </Key>
      </div>
    </article>
  );
}
