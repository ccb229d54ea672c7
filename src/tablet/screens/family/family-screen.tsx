import { useCallback, useEffect, useState } from "react";
import type { FamilySheet } from "../../../belt-test/feedback/family-sheet.ts";
import type { Answer } from "../../../ports/hub-desk.ts";
import { dayAt } from "../../../words/dates.ts";
import familyWords from "../../../words/en/family.json" with { type: "json" };
import sheetsWords from "../../../words/en/sheets.json" with { type: "json" };
import { EmptyState } from "../../parts/empty-state.tsx";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { PrintStack } from "../../print/print-stack.tsx";
import { SheetPage } from "../../print/sheet-page.tsx";
import css from "./family.module.css";

type Asked = Answer<{ sheet: FamilySheet; expiresAtMs: number }>;

/*
 * A guardian with a phone in the hall's doorway, or at the kitchen table; a minute, the child looking over the arm.
 * The page as it is printed, in one column that a thumb scrolls, and one key to keep it.
 */
export function FamilyScreen({ ask }: { ask: () => Promise<Asked> }) {
  const say = useSay(familyWords);
  const [answer, setAnswer] = useState<Asked>();
  const open = useCallback(() => {
    setAnswer(undefined);
    void ask().then(setAnswer);
  }, [ask]);
  // Another link is another page; this one is asked again by hand only.
  useEffect(open, [open]);

  if (!answer)
    return (
      <main className={`${css.root} ${css.alone}`} aria-busy="true">
        <p role="status">{say("opening")}</p>
      </main>
    );
  if (!answer.ok) {
    const isClosed = answer.fault.code === "LINK_WRONG" || answer.fault.code === "TOKEN_WRONG";
    return (
      <main className={`${css.root} ${css.alone}`}>
        <EmptyState
          title={say(isClosed ? "closed" : "away")}
          keys={isClosed ? undefined : <Key onClick={open}>{say("again")}</Key>}
        >
          {say(isClosed ? "closed-text" : "away-text")}
        </EmptyState>
      </main>
    );
  }
  return (
    <main className={css.root} aria-label={say("page")}>
      <div className={css.paper}>
        <Page sheet={answer.sheet} isOnGlass />
      </div>
      <footer className={css.foot}>
        <p>{say("until", { date: dayAt(answer.expiresAtMs, say.locale) })}</p>
        <Key onClick={() => window.print()}>{say("print")}</Key>
      </footer>
      <PrintStack>
        <Page sheet={answer.sheet} />
      </PrintStack>
    </main>
  );
}

function Page({ sheet, isOnGlass = false }: { sheet: FamilySheet; isOnGlass?: boolean }) {
  const say = useSay(sheetsWords);
  const chief = sheet.chief || say("somebody");
  return <SheetPage {...sheet} chief={chief} words={sheet.words} isOnGlass={isOnGlass} />;
}
