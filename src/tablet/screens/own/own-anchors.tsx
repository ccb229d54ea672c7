import { useState } from "react";
import { sectionOf } from "../../../belt-test/rubric/lookup.ts";
import type { EntryBody } from "../../../belt-test/scorebook/entry.ts";
import type { PersonId } from "../../../book/identity.ts";
import anchorsWords from "../../../words/en/anchors.json" with { type: "json" };
import { AnchorGrid } from "../../parts/anchor-grid.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { anchorCells } from "../../session/anchor-cells.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./own.module.css";

/** A performance shown to all judges, for this one to mark: seated, cell by cell, before the first wave. */
export function OwnAnchor({ its, judge }: { its: EntryBody<"anchor-set">; judge: PersonId }) {
  const say = useSay(anchorsWords);
  const notebook = useNotebook();
  const { book } = notebook;
  const kept = book.standards.anchorMarks(its.anchor, judge);
  const [draft, setDraft] = useState<typeof kept>();
  const rubric = book.plan.rubric(its.rubric);
  const section = rubric && sectionOf(rubric, its.section);
  if (!rubric || !section) return null;
  const marks = draft ?? kept;
  async function handIn() {
    await notebook.write("anchor-marked", { anchor: its.anchor, marks });
    setDraft(undefined);
  }
  return (
    <section className={css.anchor} aria-labelledby={its.anchor}>
      <h2 id={its.anchor}>{say("judge-title")}</h2>
      <p>
        <b>{section.title}</b>. {say("judge-text")}
      </p>
      <AnchorGrid rubric={rubric} section={section} marks={marks} onMark={setDraft} />
      <p>{say("judge-count", { given: marks.length, cells: anchorCells(section) })}</p>
      {draft ? (
        <Key kind="ink" onClick={() => void handIn()}>
          {say("judge-keep")}
        </Key>
      ) : (
        kept.length > 0 && <Notice kind="done">{say("judge-kept")}</Notice>
      )}
    </section>
  );
}
