import { useState } from "react";
import type { CandidateId, SectionId } from "../../../belt-test/identity.ts";
import type { Place } from "../../../belt-test/scorebook/cell.ts";
import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import type { PersonId } from "../../../book/identity.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { ReasonField } from "../../parts/reason-field.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { useSay } from "../../parts/use-say.ts";
import { waitsFor } from "../../session/board-coverage.ts";
import { missingWithoutHub } from "../../session/held-without-hub.ts";
import { givenName, personName } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";
import { useNotebook } from "../../session/services.tsx";
import { useSideRecords } from "../../session/use-side-records.ts";
import { notSeenCells } from "../../session/work-state.ts";
import { BoardReplace } from "./board-replace.tsx";
import css from "./board-screen.module.css";
import { callName, callWords, sectionTitle } from "./call-name.ts";

interface BoardJudgeProps {
  judge: PersonId;
  wave: number | undefined;
  onClose: () => void;
}

/** What the chief can do about one judge: ask about what was not seen, open marks without somebody who is lost, hand the place to another. */
export function BoardJudge({ judge, wave, onClose }: BoardJudgeProps) {
  const notebook = useNotebook();
  const say = useSay(boardWords);
  const name = personName(notebook, judge) ?? say("somebody");
  useReturnOfFocus();
  return (
    <Dialog open title={say("judge-title", { name })} closeWord={say("close")} onClose={onClose}>
      <AskAboutUnseen judge={judge} wave={wave} />
      <OpenWithout judge={judge} />
      <BoardReplace judge={judge} />
    </Dialog>
  );
}

interface Blank {
  candidate: CandidateId;
  place: Place;
}

function AskAboutUnseen({ judge, wave }: { judge: PersonId; wave: number | undefined }) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const [asked, setAsked] = useState<number>();
  const blanks = wave === undefined ? [] : unseenSoFar(wave);
  const byCandidate = new Map<CandidateId, Blank[]>();
  for (const blank of blanks)
    byCandidate.set(blank.candidate, [...(byCandidate.get(blank.candidate) ?? []), blank]);

  async function ask() {
    // One question a technique, not a cell: the judge looks at the whole row anyway.
    const places = new Map(
      blanks.map(({ candidate, place }) => [
        `${candidate}/${place.section}/${place.item}/${place.side}`,
        { candidate, place },
      ]),
    );
    for (const { candidate, place } of places.values())
      await notebook.write("remark-asked", {
        judge,
        candidate,
        section: place.section,
        item: place.item,
        side: place.side,
        criterion: null,
        ask: "blank",
      });
    setAsked(places.size);
  }

  return (
    <section className={css.dialogPart}>
      {blanks.length === 0 ? (
        <p className={css.quiet}>{say("judge-ask-none")}</p>
      ) : (
        <>
          <ul className="stack-2">
            {[...byCandidate].map(([candidate, those]) => (
              <li key={candidate}>
                {say("judge-blank-line", {
                  number: book.plan.entrant(candidate)?.number ?? "",
                  given: givenName(notebook, candidate),
                  places: listed(
                    [...new Set(those.map(({ place }) => placeName(place)))],
                    say.locale,
                  ),
                })}
              </li>
            ))}
          </ul>
          <p className={css.quiet}>{say("judge-ask-text")}</p>
          <Key kind="ink" onClick={() => void ask()}>
            {say("judge-ask", { count: blanks.length })}
          </Key>
        </>
      )}
      {asked !== undefined && <Notice kind="done">{say("judge-asked", { count: asked })}</Notice>}
    </section>
  );

  /** What this judge said was not seen, in this wave and not open yet: before everything is filled there is nothing to ask about. */
  function unseenSoFar(number: number): Blank[] {
    return book.plan
      .lanes(number)
      .flatMap((candidate) =>
        (book.plan.rubricOf(candidate)?.sections ?? [])
          .filter(({ id }) => isHere(book, candidate) && !book.openings.isRevealed(candidate, id))
          .flatMap(({ id }) =>
            notSeenCells(notebook, judge, candidate, id).map((place) => ({ candidate, place })),
          ),
      );
  }
  function placeName(place: Place): string {
    return callWords(callName(book.plan.rubrics, { ...place, item: place.item }, say));
  }
}

function OpenWithout({ judge }: { judge: PersonId }) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const makeSide = useSideRecords();
  const [reason, setReason] = useState("");
  const [isMissing, setMissing] = useState(false);
  const [isDone, setDone] = useState(false);
  const waiting = waitingForOnly(notebook, judge);

  async function open() {
    const text = reason.trim();
    if (!text) return setMissing(true);
    for (const [section, candidates] of waiting)
      for (const candidate of candidates) {
        const { ref, record } = makeSide(judge, "text", { text });
        await notebook.write(
          "revealed",
          {
            section,
            candidates: [candidate],
            reason: ref,
            ...missingWithoutHub(notebook, candidate, section),
          },
          { sides: [record] },
        );
      }
    setReason("");
    setMissing(false);
    setDone(true);
  }

  return (
    <section className={css.dialogPart}>
      <h3>{say("judge-open")}</h3>
      {waiting.size === 0 ? (
        <p className={css.quiet}>{say("judge-open-none")}</p>
      ) : (
        <>
          <p>
            {say("judge-open-text", {
              sections: listed(
                [...waiting].map(([section, candidates]) =>
                  say("judge-open-section", {
                    section: sectionTitle(book, section),
                    numbers: candidates.map((one) => book.plan.entrant(one)?.number).join(" "),
                  }),
                ),
                say.locale,
              ),
            })}
          </p>
          <ReasonField isMissing={isMissing} value={reason} onChange={setReason} />
          <Key onClick={() => void open()}>{say("judge-open")}</Key>
        </>
      )}
      {isDone && <Notice kind="done">{say("judge-open-done")}</Notice>}
    </section>
  );
}

/** Where everybody but this judge has locked: opening there shows nobody's marks before their time. */
function waitingForOnly(notebook: Notebook, judge: PersonId): Map<SectionId, CandidateId[]> {
  const { book } = notebook;
  const found = new Map<SectionId, CandidateId[]>();
  for (const { candidate } of book.plan.entrants) {
    for (const { id } of book.plan.rubricOf(candidate)?.sections ?? []) {
      if (book.openings.isRevealed(candidate, id)) continue;
      const missing = waitsFor(notebook, candidate, id);
      const others = book.panel.judgesOf(candidate, id).length - 1;
      if (missing.length === 1 && missing[0] === judge && others > 0)
        found.set(id, [...(found.get(id) ?? []), candidate]);
    }
  }
  return found;
}
