import { useEffect, useRef, useState } from "react";
import { Link } from "react-router";
import { releaseOf } from "../../../belt-test/feedback/release-of.ts";
import { sheetOf } from "../../../belt-test/feedback/sheet-of.ts";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { FaultLibrary } from "../../../belt-test/rubric/fault-library.ts";
import familyWords from "../../../words/en/family.json" with { type: "json" };
import sheetsWords from "../../../words/en/sheets.json" with { type: "json" };
import { EmptyState } from "../../parts/empty-state.tsx";
import { Key, keyLook } from "../../parts/key.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { Seal } from "../../parts/seal.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { PrintStack } from "../../print/print-stack.tsx";
import { givenName } from "../../session/names.ts";
import { useOutcomes } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import { useLibrary } from "../../session/use-library.ts";
import { WayAround } from "../../session/way-around.tsx";
import { type Draft, SheetEditor } from "./sheet-editor.tsx";
import { SheetLinkDialog } from "./sheet-link.tsx";
import { keptWords, SheetPageOf } from "./sheet-page-of.tsx";
import css from "./sheets.module.css";
import { groupOf, inOrder, SheetsList } from "./sheets-list.tsx";
import { SheetsRelease } from "./sheets-release.tsx";
import { usePaperZoom } from "./use-paper-zoom.ts";

/*
 * The chief examiner after the last bow, parents waiting, a printer in the office; fifteen minutes for all sheets.
 * Half a minute a sheet: read it as the child will, change a line where the chief knows better, release; retests first.
 */
export function SheetsScreen() {
  const { book, pass } = useNotebook();
  const say = useSay(sheetsWords);
  const library = useLibrary();
  const [asked, setAsked] = useState<CandidateId>();
  const [isReleasing, setReleasing] = useState(false);
  const page = useRef<HTMLDivElement>(null);
  const [printing, setPrinting] = useState<readonly CandidateId[]>();

  const order = inOrder(book);
  const { doubt } = useOutcomes();
  const withSheet = order.filter(
    (candidate) => groupOf(book, candidate) !== "waiting" && !doubt(candidate),
  );
  const chosen = asked ?? withSheet[0];
  const toRelease = withSheet.filter((candidate) => !book.decisions.release(candidate));

  useEffect(() => {
    if (!printing) return;
    let isHere = true;
    // Some browsers print while the script goes on: the pages stay until the printer has them.
    const done = () => setPrinting(undefined);
    addEventListener("afterprint", done, { once: true });
    // Every page stands and has its face and its chart before the printer is asked.
    void Promise.all([import("../../print/profile-chart.tsx"), document.fonts?.ready]).then(() =>
      setTimeout(() => {
        if (isHere) window.print();
      }, 60),
    );
    return () => {
      isHere = false;
      removeEventListener("afterprint", done);
    };
  }, [printing]);

  return (
    <main className={css.root}>
      <div className="not-on-paper">
        <PageBand
          title={say("title")}
          about={say("about", {
            released: withSheet.length - toRelease.length,
            all: withSheet.length,
          })}
          keys={<WayAround />}
        />
      </div>
      {withSheet.length === 0 ? (
        <div className="not-on-paper">
          <EmptyState
            title={say("none")}
            keys={
              <Link {...keyLook} to={pageAddress(pass.grading, "board")}>
                {say("to-board")}
              </Link>
            }
          >
            {say("none-text")}
          </EmptyState>
        </div>
      ) : (
        <div className={`${css.body} not-on-paper`}>
          <SheetsList
            chosen={chosen}
            onChoose={(candidate) => {
              setAsked(candidate);
              // Where the list is long, or stands above the page, the page comes to the eye.
              page.current?.scrollIntoView?.({ block: "start" });
            }}
          />
          <div ref={page}>
            {library && chosen ? (
              <ChosenSheet
                key={chosen}
                candidate={chosen}
                library={library}
                onPrint={() => setPrinting([chosen])}
              />
            ) : (
              <p aria-busy="true">{say("opening")}</p>
            )}
          </div>
        </div>
      )}
      {withSheet.length > 0 && (
        <footer className={`${css.keys} not-on-paper`} data-part="lower-keys">
          <Key under={say("print-under")} onClick={() => setPrinting(withSheet)}>
            {say("print-all", { count: withSheet.length })}
          </Key>
          <Key
            kind={toRelease.length > 0 ? "ink" : "plain"}
            aria-disabled={toRelease.length === 0}
            onClick={() => toRelease.length > 0 && setReleasing(true)}
          >
            {say("release-all", { count: toRelease.length })}
          </Key>
        </footer>
      )}
      {isReleasing && <SheetsRelease candidates={toRelease} onClose={() => setReleasing(false)} />}
      {library && (
        <AskedPages candidates={printing ?? (chosen ? [chosen] : [])} library={library} />
      )}
    </main>
  );
}

function ChosenSheet({
  candidate,
  library,
  onPrint,
}: {
  candidate: CandidateId;
  library: FaultLibrary;
  onPrint: () => void;
}) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(sheetsWords);
  const outcomes = useOutcomes();
  const outcome = outcomes.of(candidate);
  const edit = book.decisions.sheetEdit(candidate)?.body;
  const [draft, setDraft] = useState<Draft>(() => ({
    chosen:
      edit && (edit.strong || edit.next) ? { strong: edit.strong, next: edit.next } : undefined,
    words: keptWords(notebook, candidate),
  }));
  const { token } = notebook.pass;
  const sayFamily = useSay(familyWords);
  const [isLinking, setLinking] = useState(false);
  const zoom = usePaperZoom();
  const given = givenName(notebook, candidate);
  // An empty choice means the computed lines, whatever was kept before.
  const made = sheetOf(book, candidate, outcome, library, draft.chosen ?? {});
  if (!made) {
    const presence = book.floor.presence(candidate);
    return (
      <p className={css.waiting}>
        {say(
          outcomes.doubt(candidate)
            ? "preview-doubted"
            : presence === "absent" || presence === "unfit"
              ? "preview-out"
              : "preview-waiting",
          { given },
        )}
      </p>
    );
  }
  const isReleased = book.decisions.release(candidate) !== undefined;
  return (
    <div className={css.chosen}>
      <div className={css.chosenKeys}>
        <Key onClick={onPrint}>{say("print")}</Key>
        {isReleased ? (
          <>
            <p className={css.released}>
              <Seal size={36} /> {say("released")}
            </p>
            {token !== undefined && <Key onClick={() => setLinking(true)}>{sayFamily("link")}</Key>}
          </>
        ) : (
          <Key
            kind="ink"
            under={made.sheet.result === "retest" ? say("release-under-retest") : undefined}
            onClick={() => void notebook.write("sheet-released", releaseOf(book, candidate))}
          >
            {say("release")}
          </Key>
        )}
      </div>
      <section
        aria-label={say("preview", { number: book.plan.entrant(candidate)?.number ?? "", given })}
      >
        <div className={css.paper} style={{ zoom }}>
          <SheetPageOf candidate={candidate} made={made} words={draft.words} />
        </div>
      </section>
      <SheetEditor candidate={candidate} made={made} draft={draft} onDraft={setDraft} />
      {isLinking && token !== undefined && (
        <SheetLinkDialog candidate={candidate} token={token} onClose={() => setLinking(false)} />
      )}
    </div>
  );
}

/** Every asked page. */
function AskedPages({
  candidates,
  library,
}: {
  candidates: readonly CandidateId[];
  library: FaultLibrary;
}) {
  const { book } = useNotebook();
  const outcomes = useOutcomes();
  return (
    <PrintStack>
      {candidates.map((candidate) => {
        const made = sheetOf(book, candidate, outcomes.of(candidate), library);
        return made && <SheetPageOf key={candidate} candidate={candidate} made={made} />;
      })}
    </PrintStack>
  );
}
