import type { CandidateId } from "../../../belt-test/identity.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import { byAge } from "../../../book/order.ts";
import sheetsWords from "../../../words/en/sheets.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import { useOutcomes } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./sheets.module.css";

const groups = ["retest", "pass", "left", "waiting"] as const;
export type Group = (typeof groups)[number];

/** Retests first: they are told privately, before any ceremony. */
export function groupOf(book: Scorebook, candidate: CandidateId): Group {
  const result = book.decisions.verdict(candidate)?.body.result;
  if (result) return result;
  return book.floor.presence(candidate) === "withdrawn" ? "left" : "waiting";
}

/** Everybody in the order in which sheets are handed over. */
export const inOrder = (book: Scorebook): CandidateId[] =>
  groups.flatMap((group) =>
    book.plan.entrants.flatMap(({ candidate }) =>
      groupOf(book, candidate) === group ? [candidate] : [],
    ),
  );

interface SheetsListProps {
  chosen: CandidateId | undefined;
  onChoose: (candidate: CandidateId) => void;
}

/** Who has a sheet, and whether it has been released. */
export function SheetsList({ chosen, onChoose }: SheetsListProps) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(sheetsWords);
  const outcomes = useOutcomes();
  return (
    <nav className={css.list} aria-label={say("list")}>
      {groups.map((group) => {
        const those = book.plan.entrants.filter(
          ({ candidate }) => groupOf(book, candidate) === group,
        );
        if (those.length === 0) return null;
        return (
          <section key={group}>
            <h2>
              {say(
                group === "waiting" && book.plan.isClosed ? "group-undecided" : `group-${group}`,
              )}
            </h2>
            {group === "retest" && <p>{say("group-retest-hint")}</p>}
            <ul>
              {those.map(({ candidate, number }) => (
                <li key={candidate}>
                  <button
                    type="button"
                    aria-current={candidate === chosen || undefined}
                    onClick={() => onChoose(candidate)}
                  >
                    <b>{say("row", { number, given: givenName(notebook, candidate) })}</b>{" "}
                    <span>{state(candidate, group)}</span>
                  </button>
                </li>
              ))}
            </ul>
          </section>
        );
      })}
    </nav>
  );

  function state(candidate: CandidateId, group: Group): string {
    const presence = book.floor.presence(candidate);
    if (group === "waiting")
      return say(
        presence === "absent" || presence === "unfit"
          ? `state-${presence}`
          : book.plan.isClosed
            ? "state-undecided"
            : "state-waiting",
      );
    if (outcomes.doubt(candidate)) return say("state-doubted");
    const [released, edited] = [
      book.decisions.release(candidate),
      book.decisions.sheetEdit(candidate),
    ];
    // What was handed out on paper says otherwise.
    if (released && edited && byAge(edited, released) > 0) return say("state-changed");
    if (released) return say("state-released");
    if (book.decisions.lastRelease(candidate)) return say("state-again");
    return say(edited ? "state-edited" : "state-ready");
  }
}
