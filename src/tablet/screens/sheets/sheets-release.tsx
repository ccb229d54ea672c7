import { useState } from "react";
import { releaseOf } from "../../../belt-test/feedback/release-of.ts";
import type { CandidateId } from "../../../belt-test/identity.ts";
import sheetsWords from "../../../words/en/sheets.json" with { type: "json" };
import { AskFirst } from "../../parts/ask-first.tsx";
import { CheckField } from "../../parts/check-field.tsx";
import { FieldFault } from "../../parts/field-fault.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./sheets.module.css";

/** Releases many sheets at once. Whoever is to come again is named first, for they are told before any ceremony. */
export function SheetsRelease({
  candidates,
  onClose,
}: {
  candidates: readonly CandidateId[];
  onClose: () => void;
}) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(sheetsWords);
  const [isTold, setTold] = useState(false);
  useReturnOfFocus();
  const [hasTried, setTried] = useState(false);
  const groups = [
    { key: "retest", those: candidates.filter((one) => resultOf(one) === "retest") },
    { key: "pass", those: candidates.filter((one) => resultOf(one) === "pass") },
    { key: "left", those: candidates.filter((one) => resultOf(one) === undefined) },
  ] as const;
  const hasRetests = groups[0].those.length > 0;

  async function release() {
    setTried(true);
    if (hasRetests && !isTold) return;
    for (const { those } of groups)
      for (const candidate of those)
        await notebook.write("sheet-released", releaseOf(book, candidate));
    onClose();
  }

  return (
    <AskFirst
      title={say("release-title", { count: candidates.length })}
      yes={say("release-confirm", { count: candidates.length })}
      no={say("cancel")}
      kind="seal"
      onYes={() => void release()}
      onNo={onClose}
    >
      {groups.map(({ key, those }) =>
        those.length > 0 ? (
          <section key={key} className={css.releaseGroup}>
            <h3>{say(`release-${key}`)}</h3>
            <ul>
              {those.map((candidate) => (
                <li key={candidate}>
                  {say("row", {
                    number: book.plan.entrant(candidate)?.number ?? "",
                    given: givenName(notebook, candidate),
                  })}
                </li>
              ))}
            </ul>
            {key === "retest" && (
              <>
                <CheckField label={say("release-told")} checked={isTold} onChange={setTold} />
                {hasTried && !isTold && <FieldFault>{say("release-told-first")}</FieldFault>}
              </>
            )}
          </section>
        ) : null,
      )}
    </AskFirst>
  );

  function resultOf(candidate: CandidateId) {
    return book.decisions.verdict(candidate)?.body.result;
  }
}
