import type { PersonId } from "../../../core/identity.ts";
import type { Step } from "../../../core/planning/script.ts";
import { askedCells } from "../../../core/scorebook/judge-view.ts";
import type { Notebook } from "../../session/notebook.ts";
import { coverageKey } from "../../session/uplink.ts";

export interface JudgeState {
  judge: PersonId;
  /** Cells asked at this step and not marked yet; null where this device cannot know. */
  blank: number | null;
  asked: number;
  isAway: boolean;
}

/** How far each judge is with a step, from the coverage the hub tells; never which marks. */
export function judgeStates(
  { book, news, link }: Notebook,
  wave: number,
  step: Step,
): JudgeState[] {
  const judges = book.seats
    .filter(({ roles }) => roles.includes("judge"))
    .map(({ person }) => book.successor(person));
  return [...new Set(judges)].map((judge) => {
    const asked = askedCells(book, judge, wave, step);
    const blank = asked.filter(({ candidate, item, criterion }) => {
      const cell = news.coverage.get(
        coverageKey({ judge, candidate, section: step.section, item, side: step.markedSide }),
      );
      return !cell || !(cell.marked.includes(criterion) || cell.notSeen.includes(criterion));
    }).length;
    const devices = news.presence.filter(({ person }) => person === judge);
    return {
      judge,
      asked: asked.length,
      blank: link === "none" ? null : blank,
      isAway: link !== "none" && devices.length > 0 && !devices.some(({ online }) => online),
    };
  });
}
