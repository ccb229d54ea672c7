import { useState } from "react";
import { itemOf, sectionOf } from "../../../belt-test/rubric/lookup.ts";
import { DONE, type Rubric } from "../../../belt-test/rubric/rubric.ts";
import { assignedPlaces } from "../../../belt-test/scorebook/assigned-places.ts";
import type { Place } from "../../../belt-test/scorebook/cell.ts";
import {
  type MarkedCell,
  replacementOf,
  rubricMisfit,
} from "../../../belt-test/scorebook/rubric-replacement.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { ReasonField } from "../../parts/reason-field.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { useSay } from "../../parts/use-say.ts";
import type { Notebook } from "../../session/notebook.ts";
import css from "./set-up.module.css";
import type { Plan } from "./use-plan.ts";

/** Replaces a frozen rubric while the test is under way: what it changes is said first, and a reason is asked. */
export function ReplaceRubric({
  plan: { notebook, hand, did },
  next,
  onClose,
}: {
  plan: Plan;
  next: Rubric;
  onClose: () => void;
}) {
  const say = useSay(setUpWords);
  const { book } = notebook;
  const [reason, setReason] = useState("");
  const [hasTried, setTried] = useState(false);
  useReturnOfFocus();
  const now = book.plan.rubric(next.id);
  const misfit = rubricMisfit(book, next);
  const text = reason.trim();

  function replace() {
    setTried(true);
    if (!text) return;
    void did(hand.replaceRubric(next, text), say("did-replace", { title: next.title }));
    onClose();
  }

  return (
    <Dialog
      open
      title={say("replace-title", { title: next.title })}
      closeWord={say(misfit ? "replace-close" : "replace-keep")}
      onClose={onClose}
      keys={
        !misfit && (
          <Key kind="seal" onClick={replace}>
            {say("replace-go")}
          </Key>
        )
      }
    >
      {misfit && (
        <Notice kind="urgent">
          {say(`misfit-${misfit}`, { version: next.version, now: now?.version ?? 0 })}
        </Notice>
      )}
      {now && !misfit && (
        <>
          <p>{say("replace-text", { version: next.version, now: now.version })}</p>
          <Changes notebook={notebook} now={now} next={next} />
          <ReasonField
            label={say("replace-reason")}
            isMissing={hasTried && !text}
            value={reason}
            onChange={setReason}
          />
        </>
      )}
    </Dialog>
  );
}

function Changes({ notebook, now, next }: { notebook: Notebook; now: Rubric; next: Rubric }) {
  const say = useSay(setUpWords);
  const { candidates, displaced, asked, rules } = replacementOf(
    notebook.book,
    next,
    closedCells(notebook),
  );
  const lost = displaced.reduce((sum, { marks }) => sum + marks, 0);
  return (
    <ul className={css.changes}>
      <li>{say("replace-candidates", { count: candidates.length })}</li>
      <li data-weight={lost > 0 ? "needed" : undefined}>
        {lost === 0 ? (
          say("replace-none-lost")
        ) : (
          <>
            <b>{say("replace-lost", { count: lost })}</b>
            <ul>
              {byItem(now, displaced, say.locale).map(([what, count, criteria]) => (
                <li key={what}>{say("replace-lost-line", { what, criteria, count })}</li>
              ))}
            </ul>
          </>
        )}
      </li>
      {asked.length > 0 && (
        <li>
          <b>{say("replace-asked")}</b>
          <ul>
            {byItem(
              next,
              asked.map((place) => ({ place, marks: 0 })),
              say.locale,
            ).map(([what, , criteria]) => (
              <li key={what}>{say("replace-asked-line", { what, criteria })}</li>
            ))}
          </ul>
        </li>
      )}
      <li>
        {rules.length === 0
          ? say("replace-rules-same")
          : say("replace-rules", {
              rules: listed(
                rules.map((rule) => say(`rule-${rule}`)),
                say.locale,
              ),
            })}
      </li>
    </ul>
  );
}

/** Cells that are filled though their marks are closed, even to the chief: before a section is filled it is not told which. */
function closedCells({ book, news }: Notebook): MarkedCell[] {
  return [...news.coverage.values()].flatMap(({ judge, candidate, section, state }) =>
    state === "filled" || state === "locked"
      ? assignedPlaces(book, judge, candidate, section).map((place) => ({
          candidate,
          judge,
          place,
        }))
      : [],
  );
}

/** Places in words, one line an item: what it is called, how many marks, which criteria. */
function byItem(
  rubric: Rubric,
  places: readonly { place: Place; marks: number }[],
  locale: string,
): [string, number, string][] {
  const lines = new Map<string, { marks: number; criteria: Set<string> }>();
  for (const { place, marks } of places) {
    const section = sectionOf(rubric, place.section);
    const item = section && place.item !== null ? itemOf(section, place.item) : undefined;
    const what = [section?.title, item?.title].filter(Boolean).join(": ");
    const line = lines.get(what) ?? { marks: 0, criteria: new Set<string>() };
    line.marks += marks;
    const criterion = rubric.criteria.find(({ id }) => id === place.criterion)?.title;
    if (place.criterion !== DONE && criterion) line.criteria.add(criterion);
    lines.set(what, line);
  }
  return [...lines].map(([what, { marks, criteria }]) => [
    what,
    marks,
    criteria.size > 0 ? listed([...criteria], locale) : "none",
  ]);
}
