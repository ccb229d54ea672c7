// Held by a helper at a table by the hall's door, a queue of families in front, noise and wet coats.
// They look at a child, find the number, tap once, and say where to stand: four seconds a child.
import { useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { RosterCandidate } from "../../../belt-test/planning/roster.ts";
import { isUnderWay } from "../../../belt-test/scorebook/is-under-way.ts";
import deskWords from "../../../words/en/desk.json" with { type: "json" };
import { CandidateForm } from "../../parts/candidate-form.tsx";
import { Dialog } from "../../parts/dialog.tsx";
import { EmptyState } from "../../parts/empty-state.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { StopKey } from "../../parts/stop-key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { enterCandidate } from "../../session/enter-candidate.ts";
import { useNotebook, useServices } from "../../session/services.tsx";
import { stopFloor } from "../../session/stop-floor.ts";
import { WayAround } from "../../session/way-around.tsx";
import css from "./desk.module.css";
import { DeskLine } from "./desk-line.tsx";
import { deskRows, found, type Shown, shownOf } from "./desk-rows.ts";

const filters = ["all", "expected", "here", "away"] as const satisfies readonly Shown[];

export function DeskScreen() {
  const notebook = useNotebook();
  const services = useServices();
  const say = useSay(deskWords);
  const { book, pass } = notebook;
  const [search, setSearch] = useState("");
  const [shown, setShown] = useState<Shown>("all");
  const [isEntering, setEntering] = useState(false);
  const [late, setLate] = useState<RosterCandidate>();
  // A row stays where it was tapped until the list is asked for anew: nothing moves under a finger.
  const [stays, setStays] = useState<ReadonlySet<CandidateId>>(new Set());
  const rows = deskRows(notebook);
  const inList = (which: Shown) => rows.filter((row) => which === "all" || shownOf(row) === which);
  const listed = found(
    rows.filter((row) => shown === "all" || shownOf(row) === shown || stays.has(row.candidate)),
    search,
  );
  const show = (which: Shown) => {
    setShown(which);
    setStays(new Set());
  };

  async function enterLate(row: RosterCandidate) {
    const candidate = services.makeId() as CandidateId;
    setEntering(false);
    setLate(row);
    await enterCandidate(notebook, services, candidate, row);
    await notebook.write("checked-in", { candidate });
  }
  function checkInTheOne() {
    const [only] = listed;
    if (listed.length !== 1 || !only || only.presence === "withdrawn" || book.plan.isClosed) return;
    if (only.presence !== "checked-in")
      void notebook.write("checked-in", { candidate: only.candidate });
    setSearch("");
  }

  return (
    <>
      <PageBand
        title={say("title")}
        about={book.plan.opened?.title}
        keys={
          pass.roles.includes("chief") ? (
            <WayAround />
          ) : (
            isUnderWay(book) && <StopKey onStop={() => void stopFloor(notebook)} />
          )
        }
      />
      <main className={css.root}>
        {book.plan.isClosed ? (
          <Notice kind="quiet">{say("closed")}</Notice>
        ) : (
          <p className={css.ask}>
            <strong>{say("ask")}</strong> <span>{say("ask-how")}</span>
          </p>
        )}
        <div className={css.find}>
          <form
            onSubmit={(event) => {
              event.preventDefault();
              checkInTheOne();
            }}
          >
            <label>
              <span>{say("search")}</span>
              <input
                type="search"
                value={search}
                autoComplete="off"
                aria-describedby="desk-enter"
                onChange={(event) => setSearch(event.currentTarget.value)}
              />
            </label>
            <small id="desk-enter" className="unseen">
              {say("search-enter")}
            </small>
          </form>
          <fieldset className={css.counts}>
            <legend className="unseen">{say("counts")}</legend>
            {filters.map((which) => (
              <button
                key={which}
                type="button"
                aria-pressed={shown === which}
                onClick={() => show(which)}
              >
                <b>{inList(which).length}</b> <span>{say(`count-${which}`)}</span>
              </button>
            ))}
          </fieldset>
          <Key disabled={book.plan.isClosed} onClick={() => setEntering(true)}>
            {say("late")}
          </Key>
        </div>
        {late && (
          <Notice kind="done">
            {say("late-done", { number: late.number, given: late.given })}
          </Notice>
        )}

        {rows.length === 0 ? (
          <EmptyState title={say("none")}>{say("none-text")}</EmptyState>
        ) : listed.length === 0 ? (
          <EmptyState
            title={search.trim() === "" ? say("nobody-here") : say("no-match", { search })}
            keys={
              <Key
                onClick={() => {
                  setSearch("");
                  show("all");
                }}
              >
                {say("show-all")}
              </Key>
            }
          >
            {search.trim() === "" ? undefined : say("no-match-text")}
          </EmptyState>
        ) : (
          <ul aria-label={say("list")}>
            {listed.map((row) => (
              <DeskLine
                key={row.candidate}
                row={row}
                notebook={notebook}
                onTouched={() => setStays(new Set([...stays, row.candidate]))}
              />
            ))}
          </ul>
        )}
      </main>
      {isEntering && (
        <Dialog
          open
          title={say("late-title")}
          closeWord={say("cancel")}
          onClose={() => setEntering(false)}
        >
          <p>{say(book.plan.rubrics.length === 0 ? "late-no-rubric" : "late-text")}</p>
          {book.plan.rubrics.length > 0 && (
            <CandidateForm
              rubrics={book.plan.rubrics}
              taken={new Map(rows.map(({ number, given }) => [number, given]))}
              latestYear={Number(book.plan.opened?.date.slice(0, 4) ?? 2100)}
              start={{ number: Math.max(0, ...rows.map(({ number }) => number)) + 1 }}
              isCorrection={false}
              isReady
              onKeep={(row) => void enterLate(row)}
            />
          )}
        </Dialog>
      )}
    </>
  );
}
