import type { CandidateId } from "../../../belt-test/identity.ts";
import type { JudgeCall } from "../../../belt-test/planning/judge-calls.ts";
import { type AskedOf, whatIsAsked } from "../../../belt-test/planning/what-is-asked.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import callsWords from "../../../words/en/judge-calls.json" with { type: "json" };
import { Dialog } from "../../parts/dialog.tsx";
import { LevelGlyph } from "../../parts/level-glyph.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./asked-dialog.module.css";

/** What the rubrics say of what is on a board; an overall judgement has no words of its own. */
export const askedOn = (book: Scorebook, { part, watched, step }: JudgeCall): AskedOf[] =>
  part === "cells" ? whatIsAsked(book, watched, step) : [];

interface AskedDialogProps {
  /** What is on the board. */
  call: JudgeCall;
  nameOf: (call: JudgeCall) => string;
  who: (candidate: CandidateId) => string;
  onClose: () => void;
}

/*
 * A judge in doubt whether this is Nearly or Meets, between two sets: ten seconds, one glance.
 * So *Meets* stands out, and each criterion has the order and the signs of the board.
 */
export function AskedDialog({ call, nameOf, who, onClose }: AskedDialogProps) {
  const say = useSay(callsWords);
  const asked = askedOn(useNotebook().book, call);
  return (
    <Dialog open title={say("asked-title", { call: nameOf(call) })} onClose={onClose}>
      {asked.map(({ candidates, scale, items, criteria }) => (
        <section key={candidates[0]} className={css.root}>
          {asked.length > 1 && <p className={css.who}>{candidates.map(who).join(", ")}</p>}
          {items.length > 0 && <p className="wash">{say("asked-cues")}</p>}
          {items.map((item) => (
            <div key={item.id}>
              {items.length > 1 && <h3>{item.title}</h3>}
              <ul>
                {item.cues.map((cue) => (
                  <li key={cue}>{cue}</li>
                ))}
              </ul>
            </div>
          ))}
          {criteria.map((criterion) => (
            <div key={criterion.id}>
              <h3>{criterion.title}</h3>
              <dl>
                {criterion.descriptors.map((descriptor, at) => (
                  <div key={scale.levels[at]?.title} data-meets={at + 1 === scale.meetsLevel}>
                    <dt>
                      <LevelGlyph level={at + 1} meetsLevel={scale.meetsLevel} />
                      {scale.levels[at]?.title}
                    </dt>
                    <dd>{descriptor}</dd>
                  </div>
                ))}
              </dl>
            </div>
          ))}
        </section>
      ))}
    </Dialog>
  );
}
