import { useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { unfinished } from "../../../belt-test/scorebook/unfinished.ts";
import { heldBesideVerdicts } from "../../../belt-test/scorebook/what-was-held.ts";
import type { PersonId } from "../../../book/identity.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { AskFirst } from "../../parts/ask-first.tsx";
import { ReasonField } from "../../parts/reason-field.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName, personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { useSideRecords } from "../../session/use-side-records.ts";
import css from "./board-screen.module.css";

interface BoardCloseProps {
  /** Whose verdict cannot be relied on. */
  doubted: readonly CandidateId[];
  /** Questions asked again after their verdict: something came late. */
  late: number;
  /** Whose verdict was issued over a question that could turn it. */
  over: readonly CandidateId[];
  onClose: () => void;
}

/** Ends a belt test. What is open is named first, and closing over it asks for a reason. */
export function BoardClose({ doubted, late, over, onClose }: BoardCloseProps) {
  const notebook = useNotebook();
  const { book, pass, news } = notebook;
  const say = useSay(boardWords);
  const makeSide = useSideRecords();
  const [reason, setReason] = useState("");
  const [hasTried, setTried] = useState(false);
  useReturnOfFocus();

  const { undecided, unreleased } = unfinished(book);
  const holding = news.presence.filter(({ unsent }) => unsent > 0);
  const isOpen = undecided.length + unreleased.length + doubted.length + holding.length + late > 0;
  const text = reason.trim();

  async function close() {
    setTried(true);
    if (isOpen && !text) return;
    const side = text && pass.person ? makeSide(pass.person, "text", { text }) : undefined;
    await notebook.write(
      "closed",
      { basis: heldBesideVerdicts(book), ...(side && { reason: side.ref }) },
      side ? { sides: [side.record] } : {},
    );
    onClose();
  }

  const who = (candidate: CandidateId) =>
    say("close-who", {
      number: book.plan.entrant(candidate)?.number ?? "",
      given: givenName(notebook, candidate),
    });
  const name = (person: PersonId) => personName(notebook, person) ?? say("somebody");
  return (
    <AskFirst
      title={say("close-title")}
      yes={say(isOpen ? "close-confirm-open" : "close-confirm")}
      no={say("cancel")}
      kind="seal"
      onYes={() => void close()}
      onNo={onClose}
    >
      <p>{say("close-text")}</p>
      {!isOpen && <p>{say("close-done")}</p>}
      <Group
        title={say("close-undecided", { count: undecided.length })}
        names={undecided.map(who)}
      />
      <Group
        title={say("close-unreleased", { count: unreleased.length })}
        names={unreleased.map(who)}
      />
      <Group
        title={say("close-holding")}
        names={holding.map(({ person, unsent }) =>
          say("close-holds", { name: name(person), count: unsent }),
        )}
      />
      <Group title={say("close-doubted", { count: doubted.length })} names={doubted.map(who)} />
      <Group title={say("close-over", { count: over.length })} names={over.map(who)} />
      {late > 0 && <p>{say("close-late", { count: late })}</p>}
      {isOpen && (
        <ReasonField
          label={say("close-reason")}
          isMissing={hasTried && !text}
          value={reason}
          onChange={setReason}
        />
      )}
    </AskFirst>
  );
}

function Group({ title, names }: { title: string; names: readonly string[] }) {
  if (names.length === 0) return null;
  return (
    <section className={css.closeOpen}>
      <h3>{title}</h3>
      <p>{names.join(", ")}</p>
    </section>
  );
}
