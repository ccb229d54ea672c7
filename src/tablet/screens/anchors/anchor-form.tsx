import { useState } from "react";
import { sectionOf } from "../../../belt-test/rubric/lookup.ts";
import type { EntryBody } from "../../../belt-test/scorebook/entry.ts";
import anchorsWords from "../../../words/en/anchors.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { AnchorGrid } from "../../parts/anchor-grid.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { anchorCells } from "../../session/anchor-cells.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./anchors.module.css";

/** One performance shown to all judges: the marks that were agreed for it, who has marked it and who has not. `isLate`: the floor was called, and only taking it back is left. */
export function AnchorForm({ its, isLate }: { its: EntryBody<"anchor-set">; isLate: boolean }) {
  const say = useSay(anchorsWords);
  const notebook = useNotebook();
  const { book } = notebook;
  const { anchor } = its;
  const kept = book.standards.agreed(anchor)?.body.marks ?? [];
  const [draft, setDraft] = useState<typeof kept>();
  const rubric = book.plan.rubric(its.rubric);
  const section = rubric && sectionOf(rubric, its.section);
  if (!rubric || !section) return null;
  // What was not kept before the first call can be kept no more.
  const marks = isLate ? kept : (draft ?? kept);
  const count = `${say("agreed-marks")} · ${say("agreed-count", { given: marks.length, cells: anchorCells(section) })}`;
  async function keep() {
    await notebook.write("anchor-agreed", { anchor, marks });
    setDraft(undefined);
  }
  return (
    <article className={css.anchor}>
      <h3>{say("anchor", { section: section.title })}</h3>
      <MarkedBy its={its} isLate={isLate} />
      {isLate ? (
        <p>{count}</p>
      ) : (
        <details>
          <summary>{count}</summary>
          <AnchorGrid rubric={rubric} section={section} marks={marks} onMark={setDraft} />
        </details>
      )}
      <div className={css.anchorKeys}>
        {draft && !isLate ? (
          <Key kind="ink" onClick={() => void keep()}>
            {say("keep")}
          </Key>
        ) : (
          !isLate && kept.length > 0 && <Notice kind="done">{say("kept")}</Notice>
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

/** A chief who judges is sent nobody's marks before the own ones are in, and so cannot know who else has marked. */
function MarkedBy({ its: { anchor }, isLate }: { its: EntryBody<"anchor-set">; isLate: boolean }) {
  const say = useSay(anchorsWords);
  const notebook = useNotebook();
  const { book, pass } = notebook;
  const judges = book.plan.seats.filter(({ roles }) => roles.includes("judge"));
  const hasMarked = ({ person }: (typeof judges)[number]) =>
    book.standards.anchorMarks(anchor, person).length > 0;
  const own = judges.find(({ person }) => person === pass.person);
  if (own && !hasMarked(own) && !isLate) return <p>{say("marked-own-first")}</p>;
  const names = (some: typeof judges) =>
    listed(
      some.map(({ person }) => personName(notebook, person) ?? say("somebody")),
      say.locale,
    );
  const done = judges.filter(hasMarked);
  const rest = judges.filter((judge) => !hasMarked(judge));
  return (
    <p>
      {done.length === 0 ? say("marked-by-nobody") : say("marked-by", { names: names(done) })}
      {rest.length > 0 && (
        <>
          <br />
          {say(isLate ? "marked-not-by" : "marked-waits", { names: names(rest) })}
        </>
      )}
    </p>
  );
}
