import { memo, useMemo } from "react";
import type { CandidateId, CriterionId, FaultId } from "../../../belt-test/identity.ts";
import type { JudgeCall } from "../../../belt-test/planning/judge-calls.ts";
import { type FaultLibrary, faultsFor } from "../../../belt-test/rubric/fault-library.ts";
import { criteriaAt } from "../../../belt-test/rubric/lookup.ts";
import { isLockedFor, placeOf } from "../../../belt-test/scorebook/judge-view.ts";
import type { PersonId } from "../../../book/identity.ts";
import markingWords from "../../../words/en/marking.json" with { type: "json" };
import type { BoardColumn, BoardProps, BoardRow, CellMark } from "../../parts/line/board-data.ts";
import { Cells } from "../../parts/line/cells.tsx";
import { Checklist } from "../../parts/line/checklist.tsx";
import { Line } from "../../parts/line/line.tsx";
import { useSay } from "../../parts/use-say.ts";
import { candidateDetails } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";
import { cellOfRow, type JudgeHand, OVERALL } from "./judge-hand.ts";

/** The most candidates whose every level still gets a finger of its own. */
const STRIPS_UP_TO = 3;

interface JudgeBoardProps {
  notebook: Notebook;
  /** The notebook changes in place; its version says when. */
  version: number;
  judge: PersonId;
  hand: JudgeHand;
  call: JudgeCall;
  wave: number;
  library: FaultLibrary | undefined;
  handed: "right" | "left";
  largeTargets: boolean;
  flipped: boolean;
  onTouch: () => void;
  onUndo: () => void;
}

/** The board of one call: reads what stands from the scorebook, gives every tap to the hand. */
export const JudgeBoard = memo(function JudgeBoard({
  notebook,
  judge,
  hand,
  call,
  wave,
  library,
  handed,
  largeTargets,
  flipped,
  onTouch,
  onUndo,
}: JudgeBoardProps) {
  const { book } = notebook;
  const { step, part, watched } = call;
  const say = useSay(markingWords);
  const { last } = hand;
  const newest =
    last?.kind === "marked" && last.call === call.key && last.row !== null
      ? { candidate: last.candidate, criterion: last.row }
      : undefined;

  const isChecklist = step.marking === "checklist";
  const shownRow = { section: step.section, item: step.item, side: step.markedSide };
  const columns: BoardColumn[] = watched.map((candidate) => {
    const rubric = book.plan.rubricOf(candidate);
    const details = candidateDetails(notebook, candidate);
    const own = part === "overall" ? [] : rowsOf(candidate);
    return {
      candidate,
      number: book.plan.entrant(candidate)?.number ?? 0,
      given: details?.given ?? "",
      sounds: details?.sounds,
      belt: rubric?.from.belt ?? { name: "", colour: "#ffffff" },
      expected: book.floor.presence(candidate) === "expected",
      locked: isLockedFor(book, judge, candidate, shownRow),
      notSeen:
        own.length > 0 &&
        own.every(
          (row) => book.marks.cell(judge, candidate, cellOfRow(step, row))?.level === "not-seen",
        ),
    };
  });

  /** The rows this candidate is asked for here. */
  function rowsOf(candidate: CandidateId): CriterionId[] {
    const place = placeOf(book, candidate, step);
    if (!place) return [];
    if (isChecklist) {
      return place.section.items
        .filter(({ id }) => book.plan.excuse(candidate, id) === undefined)
        .map(({ id }) => id as string as CriterionId);
    }
    return [...criteriaAt(place.section, place.item)];
  }

  const asked = new Map(watched.map((candidate) => [candidate, new Set(rowsOf(candidate))]));
  const isAskedOf = (candidate: CandidateId, row: CriterionId) =>
    part === "overall" || (asked.get(candidate)?.has(row) ?? false);
  const isAskedOfAny = (row: CriterionId) => watched.some((candidate) => isAskedOf(candidate, row));

  function rowTitles(): Map<CriterionId, string> {
    if (part === "overall") return new Map([[OVERALL, say("overall-row")]]);
    const sections = watched.flatMap(
      (candidate) => placeOf(book, candidate, { section: step.section, item: null })?.section ?? [],
    );
    if (isChecklist) {
      const items = sections.flatMap((section) => section.items);
      return new Map(items.map(({ id, title }) => [id as string as CriterionId, title]));
    }
    // Rows never move within a section: every criterion that the section asks anywhere keeps its place.
    const inSection = new Set(
      sections.flatMap((section) => [
        ...section.items.flatMap(({ criteria }) => criteria),
        ...(section.onceASection?.criteria ?? []),
      ]),
    );
    const criteria = watched.flatMap((candidate) => book.plan.rubricOf(candidate)?.criteria ?? []);
    return new Map(
      criteria.filter(({ id }) => inSection.has(id)).map(({ id, title }) => [id, title]),
    );
  }
  const rows: BoardRow<CriterionId>[] = [...rowTitles()].map(([criterion, title]) => ({
    criterion,
    title,
    asked: isAskedOfAny(criterion),
  }));

  const cell = (candidate: CandidateId, row: CriterionId): CellMark | undefined => {
    if (part === "overall") {
      const judgement = book.marks.overall(judge, candidate, step.section);
      return judgement === null ? undefined : { level: judgement, how: "tapped", kept: true };
    }
    const write = book.marks.cell(judge, candidate, cellOfRow(step, row));
    if (!write || write.level === "cleared") return undefined;
    return { level: write.level, how: write.how, kept: notebook.isKept(write.entry) };
  };

  const rubric = watched[0] && book.plan.rubricOf(watched[0]);
  const scale = useMemo(
    () =>
      part === "overall"
        ? {
            levels: [say("overall-1"), say("overall-2"), say("overall-3"), say("overall-4")],
            meetsLevel: 3,
          }
        : {
            levels: rubric?.scale.levels.map(({ title }) => title) ?? [],
            meetsLevel: rubric?.scale.meetsLevel ?? 1,
          },
    [part, rubric, say],
  );

  const newestMark = newest && cell(newest.candidate, newest.criterion);
  const isBelow = typeof newestMark?.level === "number" && newestMark.level < scale.meetsLevel;
  const newestPlace =
    newest && part === "cells" && !isChecklist && isBelow
      ? placeOf(book, newest.candidate, step)
      : undefined;
  const on = newest
    ? book.marks.faults(judge, newest.candidate, cellOfRow(step, newest.criterion))
    : [];
  const faults =
    newest && newestPlace && library && !isLockedFor(book, judge, newest.candidate, shownRow)
      ? faultsFor(library, newestPlace.section, newestPlace.item, newest.criterion)
          .slice(0, 4)
          .map(({ id, chip }) => ({ id, label: chip, on: on.includes(id) }))
      : [];

  const props: BoardProps<CriterionId> = {
    call: call.key,
    columns,
    rows,
    scale,
    cell,
    isAsked: isAskedOf,
    newest,
    undone:
      last?.kind === "undone" ? { candidate: last.candidate, criterion: last.row } : undefined,
    faults,
    handed,
    flipped,
    mayRest: part === "cells",
    onMark(candidate, row, level) {
      onTouch();
      hand.mark(call, candidate, row, level);
    },
    onRest(candidates) {
      onTouch();
      hand.rest(call, candidates);
    },
    onNotSeen(candidate) {
      onTouch();
      const column = columns.find((one) => one.candidate === candidate);
      hand.notSeen(call, candidate, column?.notSeen ?? false);
    },
    mayUndo: hand.mayUndo(),
    onUndo,
    onFault(id) {
      onTouch();
      if (!newest) return;
      const fault = id as FaultId;
      const now = on.includes(fault) ? on.filter((one) => one !== fault) : [...on, fault];
      hand.faults(call, newest.candidate, newest.criterion, now);
    },
  };
  if (isChecklist && part === "cells") return <Checklist {...props} />;
  const isWide = watched.length > STRIPS_UP_TO || (largeTargets && watched.length > 1);
  return isWide && part === "cells" ? <Cells {...props} /> : <Line {...props} />;
});
