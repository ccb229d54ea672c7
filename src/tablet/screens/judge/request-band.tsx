import type { ReactElement } from "react";
import { itemOf, sectionOf } from "../../../belt-test/rubric/lookup.ts";
import type { EntryOf } from "../../../belt-test/scorebook/entry.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import askedWords from "../../../words/en/judge-asked.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";
import css from "./judge-screen.module.css";

interface RequestBandProps {
  notebook: Notebook;
  ask: EntryOf<"remark-asked">;
  /** How many more wait behind it. */
  more: number;
  /** The board it is about is on the glass. */
  isShown: boolean;
  onShow: () => void;
  onDone: () => void;
}

/**
 * What the chief asks a judge to look at again: one line above the board, one key to get there, one to say that it is done.
 * Until then a mark there can be changed and taken back; after it nothing more is taken for this request.
 */
export function RequestBand({
  notebook,
  ask,
  more,
  isShown,
  onShow,
  onDone,
}: RequestBandProps): ReactElement | null {
  const say = useSay(askedWords);
  const sayJudge = useSay(judgeWords);
  const { book } = notebook;
  const { candidate, section: id, item: itemId, side, criterion, ask: kind } = ask.body;
  const rubric = book.plan.rubricOf(candidate);
  const section = rubric && sectionOf(rubric, id);
  const item = section && itemId !== null ? itemOf(section, itemId) : undefined;
  const title = item?.title ?? section?.title ?? id;
  const row = rubric?.criteria.find((one) => one.id === criterion)?.title;
  // On its own board the title and the side are in the largest words of the glass already.
  const what = isShown
    ? (row ?? title)
    : [title, side && sayJudge(side), row].filter(Boolean).join(", ");
  const who =
    `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim();
  return (
    <div className={css.judgeAsk} role="status">
      <p>
        {say(kind === "blank" ? "unseen" : "again", { who, what })}
        {more > 0 && ` ${say("more", { count: more })}`}
      </p>
      {!isShown && <Key onClick={onShow}>{say("open")}</Key>}
      <Key kind={isShown ? "plain" : "ink"} onClick={onDone}>
        {say("done")}
      </Key>
    </div>
  );
}
