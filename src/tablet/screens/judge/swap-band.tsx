import { type ReactElement, useMemo, useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { waveScript } from "../../../belt-test/planning/wave-script.ts";
import { rowOf, type StrayLanes, strayLanes } from "../../../belt-test/scorebook/stray-lanes.ts";
import { rowKey } from "../../../belt-test/scorebook/swapped-marks.ts";
import { markedAlike } from "../../../belt-test/script/script.ts";
import { fnv1a } from "../../../book/fnv.ts";
import type { PersonId } from "../../../book/identity.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import moreWords from "../../../words/en/judge-more.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { answeredLanes, keepAnsweredLanes } from "../../session/answered-lanes.ts";
import { useNotebook } from "../../session/services.tsx";
import { stepName } from "../../session/step-name.ts";
import type { JudgeHand } from "./judge-hand.ts";
import judgeScreenCss from "./judge-screen.module.css";
import css from "./swap-band.module.css";
import type { MovedLanes } from "./use-moved-lanes.ts";

interface SwapBandProps {
  judge: PersonId;
  hand: JudgeHand;
  /** Of the call that is shown. */
  wave: number;
  lanes: MovedLanes;
  who: (candidate: CandidateId) => string;
}

/**
 * Another said that two children stand in each other's place, or the chief wrote the lanes anew. The lanes have changed on the glass, and this judge's marks of that call have not:
 * one line above the board that says so, and two keys. Nothing moves before one of them is touched.
 */
export function SwapBand({ judge, hand, wave, lanes, who }: SwapBandProps): ReactElement | null {
  const notebook = useNotebook();
  const say = useSay(moreWords);
  const sayJudge = useSay(judgeWords);
  const { book } = notebook;
  const [answered, setAnswered] = useState(answeredLanes);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the book changes in place; its version says when
  const asked = useMemo(() => {
    const known = new Set(answered);
    return book.plan.waves.flatMap((one) => {
      const steps = waveScript(book, one.wave);
      return strayLanes(book, judge, one.wave, steps)
        .map((its) => ({ ...its, steps, key: keyOf(judge, one.wave, its) }))
        .filter(({ key }) => !known.has(key));
    });
  }, [book, book.version, judge, answered]);
  // What this judge said themselves they know.
  const last = book.plan.swapsSaid.findLast(({ body }) => body.wave === wave);
  const isOwn = last?.by === judge && last.lamport > book.plan.linedUpAt(wave);
  const [first] = asked;
  if (!first) return isOwn ? null : <LanesChanged lanes={lanes} who={who} />;
  const { row, pairs, marks, isWholeLeft, steps, key } = first;
  const mayGoAlong = marks.bodies.length > 0;

  const step = steps.flatMap(markedAlike).find((one) => rowKey(rowOf(one)) === rowKey(row));
  const name = step && stepName(book, step);
  const title = name?.title ?? name?.section ?? row.section;
  const call = row.side ? `${title}, ${sayJudge(row.side)}` : title;
  const said = [
    ...pairs.map(([a, b]) => say("moved-pair", { a: who(a), b: who(b) })),
    ...(mayGoAlong || marks.stay.length > 0 || marks.isLocked || marks.isOfOthers
      ? [say("moved-stayed", { call })]
      : []),
    ...leftWords(),
  ];

  /** What does not go along, and what to do about it. */
  function leftWords(): string[] {
    if (marks.isLocked) return [say("swap-stays-locked")];
    if (marks.isOfOthers) return [say("swap-stays-not-yours")];
    const titles = pairs.flat().flatMap((one) => book.plan.rubricOf(one)?.criteria ?? []);
    const what = marks.stay.map((id) => titles.find((one) => one.id === id)?.title ?? id);
    return [
      ...(what.length > 0 ? [say("swap-stays", { what: listed(what, say.locale) })] : []),
      ...(isWholeLeft ? [say("moved-list", { call: name?.section ?? call })] : []),
    ];
  }
  const isDone = () => {
    keepAnsweredLanes(key);
    setAnswered([...answered, key]);
    lanes.seen();
  };

  return (
    <div className={`${judgeScreenCss.judgeAsk} ${css.ask}`} role="status">
      <p>{said.join(" ")}</p>
      {mayGoAlong && (
        <Key
          onClick={() => {
            // The newest mark of this hand lies with the other child now.
            hand.last = undefined;
            hand.writeMarks(marks.bodies);
            lanes.seen();
            // What could not go along has been said.
            if (marks.stay.length > 0 || isWholeLeft) isDone();
          }}
        >
          {say("moved-along")}
        </Key>
      )}
      <Key kind={mayGoAlong ? "ink" : "plain"} onClick={isDone}>
        {say("moved-right")}
      </Key>
    </div>
  );
}

/** Nothing is to be asked, but children have changed lanes before the judge's eyes: nothing is marked of them in this call, or the chief wrote the lanes anew. */
function LanesChanged({ lanes, who }: Pick<SwapBandProps, "lanes" | "who">) {
  const say = useSay(moreWords);
  if (lanes.moved.length === 0) return null;
  return (
    <div className={`${judgeScreenCss.judgeAsk} ${css.ask}`} role="status">
      <p>{say("lanes-moved", { who: listed(lanes.moved.map(who), say.locale) })}</p>
      <Key kind="ink" onClick={lanes.seen}>
        {say("lanes-seen")}
      </Key>
    </div>
  );
}

/** What was asked, whole: what is marked since, or said otherwise, is asked about anew. */
const keyOf = (
  judge: PersonId,
  wave: number,
  { row, lanes, pairs, marks: { bodies } }: StrayLanes,
): string =>
  `${judge}/${wave}/${rowKey(row)}/${fnv1a(JSON.stringify([lanes, pairs, bodies])).toString(36)}`;
