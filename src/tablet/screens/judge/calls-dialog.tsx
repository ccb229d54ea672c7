import { type ReactNode, useEffect, useRef } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { JudgeCall } from "../../../belt-test/planning/judge-calls.ts";
import type { SectionWork } from "../../../belt-test/scorebook/judge-view.ts";
import callsWords from "../../../words/en/judge-calls.json" with { type: "json" };
import markingWords from "../../../words/en/marking.json" with { type: "json" };
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import { askedOn } from "./asked-dialog.tsx";
import css from "./calls-dialog.module.css";

interface CallsDialogProps {
  wave: number;
  waves: readonly number[];
  /** Ways to other parts of the test, for a judge who has any. */
  links: ReactNode;
  calls: readonly JudgeCall[];
  shown: JudgeCall | undefined;
  /** The first earlier call with something blank: the list opens there. */
  firstOpen: JudgeCall | undefined;
  live: JudgeCall | undefined;
  /** Index of the furthest step called or opened. */
  reached: number;
  work: readonly SectionWork[];
  nameOf: (call: JudgeCall) => string;
  blanksOf: (call: JudgeCall) => number;
  sectionTitle: (section: JudgeCall["step"]["section"]) => string;
  onWave: (wave: number) => void;
  onOpen: (call: JudgeCall) => void;
  onLock: (section: JudgeCall["step"]["section"], candidates: readonly CandidateId[]) => void;
  onAsked: () => void;
  onMore: () => void;
  onClose: () => void;
}

/** The wave's calls, section by section, with what is still blank and the lock of each section. */
export function CallsDialog(props: CallsDialogProps) {
  const { wave, waves, calls, shown, live, reached, work, nameOf, blanksOf, sectionTitle } = props;
  const say = useSay(callsWords);
  const { book } = useNotebook();
  const sayOfBoard = useSay(markingWords);
  const toFirstOpen = useRef<HTMLLIElement>(null);
  // After the dialog has opened, and not when what is blank changes beneath the eyes.
  useEffect(() => {
    toFirstOpen.current?.scrollIntoView?.({ block: "center" });
  }, []);
  const sections = [...new Set(calls.map(({ step }) => step.section))];
  return (
    <Dialog open title={say("calls-title", { wave })} onClose={props.onClose}>
      <div className={css.lead}>
        <p>{say("calls-hint")}</p>
        {shown && askedOn(book, shown).length > 0 && (
          <Key onClick={props.onAsked} under={say("asked-under")}>
            {say("asked")}
          </Key>
        )}
        <Key onClick={props.onMore} under={say("more-under")}>
          {sayOfBoard("more")}
        </Key>
      </div>
      {props.links}
      {waves.length > 1 && (
        <fieldset className={css.waves} aria-label={sayOfBoard("calls")}>
          {waves.map((one) => (
            <Key key={one} pressed={one === wave} onClick={() => props.onWave(one)}>
              {sayOfBoard("wave", { wave: one })}
            </Key>
          ))}
        </fieldset>
      )}
      {sections.map((section) => {
        const own = work.find((one) => one.section === section);
        const left = own ? own.blank + own.overallsMissing : 0;
        const isOpened = own?.openedWithout.some((one) => own.unlocked.includes(one));
        return (
          <section key={section} className={css.section}>
            <header>
              <h3>{sectionTitle(section)}</h3>
              {own &&
                (own.unlocked.length === 0 ? (
                  <p className="wash">
                    {say(own.openedWithout.length > 0 ? "locked-after" : "locked")}
                  </p>
                ) : left > 0 ? (
                  <p>{say("lock-blank", { count: left })}</p>
                ) : (
                  <Key
                    kind="ink"
                    under={say("lock-hint", { count: own.unlocked.length })}
                    onClick={() => props.onLock(section, own.unlocked)}
                  >
                    {say("lock", { section: sectionTitle(section).toLocaleLowerCase(say.locale) })}
                  </Key>
                ))}
            </header>
            {isOpened && <p>{say("opened-without")}</p>}
            <ul>
              {calls
                .filter((call) => call.step.section === section && call.step.asked)
                .map((call) => {
                  const blank = blanksOf(call);
                  const state =
                    call.watched.length === 0
                      ? say("call-not-yours")
                      : call.index === live?.index
                        ? say("call-now")
                        : call.index > reached
                          ? say("call-ahead")
                          : blank > 0
                            ? say("call-blank", { count: blank })
                            : say("call-done");
                  return (
                    <li
                      key={call.key}
                      ref={call.key === props.firstOpen?.key ? toFirstOpen : undefined}
                    >
                      <Key
                        kind={blank > 0 && call.index <= reached ? "firm" : "quiet"}
                        pressed={call.key === shown?.key}
                        under={state}
                        onClick={() => props.onOpen(call)}
                      >
                        {nameOf(call)}
                      </Key>
                    </li>
                  );
                })}
            </ul>
          </section>
        );
      })}
    </Dialog>
  );
}
