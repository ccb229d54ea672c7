import { useState } from "react";
import { isAway } from "../../../belt-test/scorebook/presence.ts";
import { clockTime } from "../../../words/dates.ts";
import { nameOf, type Told } from "../../in-words/question-in-words.ts";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { takeBack } from "../../session/end-known.ts";
import { givenName } from "../../session/names.ts";

/** A child who has withdrawn is here after all: said here of whoever is in no wave at the moment, and when the test is closed too. */
export function CandidateBack({ told }: { told: Told }) {
  const [isAsking, setAsking] = useState(false);
  return (
    <>
      <Key onClick={() => setAsking(true)}>{told.say("back")}</Key>
      {isAsking && <BackDialog told={told} onClose={() => setAsking(false)} />}
    </>
  );
}

function BackDialog({ told, onClose }: { told: Told; onClose: () => void }) {
  const { say, notebook, candidate } = told;
  const { floor, plan } = notebook.book;
  useReturnOfFocus();
  const withdrawals = floor.withdrawals(candidate);
  const given = givenName(notebook, candidate);
  const state = plan.isClosed
    ? "closed"
    : isAway(floor.presenceSaid(candidate)?.kind ?? "expected")
      ? "away"
      : "open";
  return (
    <Dialog
      open
      title={say("back-title", { given })}
      closeWord={say("cancel")}
      onClose={onClose}
      keys={
        <Key
          kind="firm"
          onClick={() => {
            void takeBack(notebook, candidate, withdrawals);
            onClose();
          }}
        >
          {say("back-do", { count: withdrawals.length })}
        </Key>
      }
    >
      <ul>
        {withdrawals.map(({ id, by, at, body: { why } }) => (
          <li key={id}>
            {say("back-said", {
              name: nameOf(told, by),
              time: clockTime(at, say.locale),
              why: why ?? "own-wish",
            })}
          </li>
        ))}
      </ul>
      <p>
        {say("back-follows", { given, state })} {say("back-sheet")}
      </p>
    </Dialog>
  );
}
