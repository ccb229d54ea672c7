import { type ReactElement, useEffect, useMemo, useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { JudgeCall } from "../../../belt-test/planning/judge-calls.ts";
import { rowOfCall } from "../../../belt-test/planning/row-of-call.ts";
import { waveScript } from "../../../belt-test/planning/wave-script.ts";
import type { EntryOf } from "../../../belt-test/scorebook/entry.ts";
import {
  rowKey,
  swapsByOthers,
  withoutPairs,
} from "../../../belt-test/scorebook/swaps-by-others.ts";
import type { PersonId } from "../../../book/identity.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import moreWords from "../../../words/en/judge-more.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import { stepName } from "../../session/step-name.ts";
import {
  answeredSwaps,
  heardSwaps,
  keepAnsweredSwaps,
  noteHeardSwaps,
} from "../../session/swaps-here.ts";
import type { JudgeHand } from "./judge-hand.ts";
import "./swap-band.css";

interface SwapBandProps {
  judge: PersonId;
  hand: JudgeHand;
  /** Of the call that is shown. */
  wave: number;
  shown: JudgeCall | undefined;
  who: (candidate: CandidateId) => string;
}

/**
 * Another said that two children stand in each other's place. Their lanes have changed on the glass, and this judge's marks of that call have not:
 * one line above the board that says so, and two keys. Nothing moves before one of them is touched.
 */
export function SwapBand({ judge, hand, wave, shown, who }: SwapBandProps): ReactElement | null {
  const notebook = useNotebook();
  const say = useSay(moreWords);
  const sayJudge = useSay(judgeWords);
  const { book } = notebook;
  const [answered, setAnswered] = useState(answeredSwaps);
  const [heard, setHeard] = useState(heardSwaps);
  /** Said while this judge was here, of which they have not said that they saw it. */
  const [unseen, setUnseen] = useState<readonly EntryOf<"lanes-swapped">[]>([]);
  const shownStep = shown?.step;
  const swapCount = book.plan.waves.reduce(
    (sum, one) => sum + book.plan.swapsEver(one.wave).length,
    0,
  );
  // biome-ignore lint/correctness/useExhaustiveDependencies: the book changes in place; how many swaps it has says when one is new
  useEffect(() => {
    const all = book.plan.waves.flatMap((one) => book.plan.swapsEver(one.wave));
    const news = noteHeardSwaps(book, notebook.pass.device, all);
    if (news.length === 0) return;
    setHeard(heardSwaps());
    const theirs = new Set(
      book.panel.watched.flatMap(({ candidate, section }) =>
        book.panel.judgesOf(candidate, section).includes(judge) ? [candidate] : [],
      ),
    );
    const isShown = ({ by, body }: EntryOf<"lanes-swapped">) =>
      by !== judge && body.candidates.some((one) => theirs.has(one));
    setUnseen((before) => [...before, ...news.filter(isShown)]);
  }, [book, swapCount]);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the book changes in place; its version says when
  const asked = useMemo(() => {
    const known = new Set(answered);
    return book.plan.waves.flatMap((one) => {
      const steps = waveScript(book, one.wave);
      const swaps = swapsByOthers(book, judge, one.wave, {
        rows: steps.map(({ section, item, markedSide: side }) => ({ section, item, side })),
        rowOf: (call) => rowOfCall(call, steps),
        shown:
          shownStep && one.wave === wave
            ? { section: shownStep.section, item: shownStep.item, side: shownStep.markedSide }
            : undefined,
        isAnswered: (row, swap) => known.has(keyOf(row, swap)),
        writtenBefore: (swap) => heard.get(swap),
      });
      return swaps.map((swap) => ({ ...swap, steps }));
    });
  }, [book, book.version, judge, wave, shownStep, answered, heard]);
  const [first] = asked;
  if (!first) return <LanesChanged swaps={unseen} wave={wave} who={who} onSeen={setUnseen} />;
  const { row, pairs, swaps, marks, isWholeLeft, steps } = first;
  const mayGoAlong = marks.bodies.length > 0;

  const step = steps.find(
    (one) => one.section === row.section && one.item === row.item && one.markedSide === row.side,
  );
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
    const keys = swaps.map((swap) => keyOf(row, swap));
    keepAnsweredSwaps(keys);
    setAnswered([...answered, ...keys]);
    isSeen();
  };
  const isSeen = () => setUnseen(unseen.filter(({ id }) => !swaps.includes(id)));

  return (
    <div className="judge-ask swap-ask" role="status">
      <p>{said.join(" ")}</p>
      {mayGoAlong && (
        <Key
          onClick={() => {
            // The newest mark of this hand lies with the other child now.
            hand.last = undefined;
            hand.writeMarks(marks.bodies);
            isSeen();
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

interface LanesChangedProps {
  swaps: readonly EntryOf<"lanes-swapped">[];
  wave: number;
  who: (candidate: CandidateId) => string;
  onSeen: (left: readonly EntryOf<"lanes-swapped">[]) => void;
}

/** Nothing is to be asked, but the lanes have changed before the judge's eyes: in a call that the caller had left, or one without a mark. */
function LanesChanged({ swaps, wave, who, onSeen }: LanesChangedProps) {
  const say = useSay(moreWords);
  const here = withoutPairs(swaps.filter(({ body }) => body.wave === wave));
  if (here.length === 0) return null;
  const said = here.map(({ body: { candidates } }) => {
    const [a, b] = candidates;
    return say("moved-pair", { a: who(a), b: who(b) });
  });
  return (
    <div className="judge-ask swap-ask" role="status">
      <p>{[...said, say("moved-glass")].join(" ")}</p>
      <Key kind="ink" onClick={() => onSeen(swaps.filter(({ body }) => body.wave !== wave))}>
        {say("moved-seen")}
      </Key>
    </div>
  );
}

const keyOf = (row: Parameters<typeof rowKey>[0], swap: string): string => `${swap}/${rowKey(row)}`;
