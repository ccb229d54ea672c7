// A judge at home or on the bench after the results, alone; one minute, and nobody looks over the shoulder.
import type { PersonId } from "../../../book/identity.ts";
import ownWords from "../../../words/en/own.json" with { type: "json" };
import { DriftLine } from "../../parts/drift-line.tsx";
import { EmptyState } from "../../parts/empty-state.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { SeverityDot } from "../../parts/severity-dot.tsx";
import { useSay } from "../../parts/use-say.ts";
import {
  criterionWord,
  oddSentences,
  paceValues,
  reachOf,
  sentenceValues,
} from "../../session/judge-in-words.ts";
import { useNotebook } from "../../session/services.tsx";
import { WayAround } from "../../session/way-around.tsx";
import css from "./own.module.css";
import { OwnAnchor } from "./own-anchors.tsx";

export function OwnScreen() {
  const { book, pass } = useNotebook();
  const say = useSay(ownWords);
  const person = pass.person as PersonId;
  const told = book.standards.told(person)?.body;
  const odd = oddSentences(say, told?.odd ?? [], criterionWord(book.plan.rubrics, say.locale));
  // Before the first wave: what is shown to all judges stands here; afterwards it would only be a memory.
  const anchors = book.floor.currentCall ? [] : book.standards.anchors;
  return (
    <>
      <PageBand title={say("title")} about={book.plan.opened?.title} keys={<WayAround />} />
      {anchors.length > 0 ? (
        <main className={css.page}>
          {anchors.map((its) => (
            <OwnAnchor key={its.anchor} its={its} judge={person} />
          ))}
        </main>
      ) : !told ? (
        <main>
          <EmptyState title={say("waits")}>{say("waits-text")}</EmptyState>
        </main>
      ) : (
        <main className={css.page}>
          <h2>{say(`sentence-${told.standing}`, sentenceValues(told))}</h2>
          {(told.standing === "severe" || told.standing === "lenient") && (
            <p>{say("common", sentenceValues(told))}</p>
          )}
          {told.pace?.isHasty && <p>{say("pace", paceValues(told.pace))}</p>}
          {odd.map((sentence) => (
            <p key={sentence}>{sentence}</p>
          ))}
          {(odd.length === 0 || told.standing !== "like-others") && (
            <p>{say(`next-${told.standing}`)}</p>
          )}
          <div className={css.dot}>
            <div aria-hidden="true">
              <span>{say("lower")}</span>
              <span>{say("higher")}</span>
            </div>
            <SeverityDot severity={told.severity} reach={reachOf([told])} />
          </div>
          {told.drift.length > 1 && (
            <figure>
              <DriftLine points={told.drift} reach={reachOf([told])} />
              <figcaption>{say("drift")}</figcaption>
            </figure>
          )}
          {told.pace && !told.pace.isHasty && (
            <p className={css.quiet}>{say("pace", paceValues(told.pace))}</p>
          )}
          <p className={css.quiet}>
            {say("counts", {
              candidates: told.candidates,
              marks: told.marks,
              rest: told.restShare,
            })}
          </p>
          <p className={css.quiet}>
            {say("given")} {say("advice")}
          </p>
        </main>
      )}
    </>
  );
}
