import { askedCells, askedNow } from "../../../belt-test/scorebook/judge-view.ts";
import type { Step } from "../../../belt-test/script/script.ts";
import type { PersonId } from "../../../book/identity.ts";
import type { Notebook } from "../../session/notebook.ts";
import { isDoneWith } from "../../session/work-state.ts";

export interface JudgeState {
  judge: PersonId;
  /** Everything asked at this step is marked; null where this device cannot know. */
  isDone: boolean | null;
  asked: number;
  isAway: boolean;
}

/** Who is done with a step, as the hub tells it; never which marks, nor how many. */
export function judgeStates(notebook: Notebook, wave: number, step: Step): JudgeState[] {
  const { book, news, link } = notebook;
  const judges = book.plan.seats
    .filter(({ roles }) => roles.includes("judge"))
    .map(({ person }) => book.panel.successor(person));
  return [...new Set(judges)].map((judge) => {
    const devices = news.presence.filter(({ person }) => person === judge);
    return {
      judge,
      asked: askedNow(step).flatMap((part) => askedCells(book, judge, part)).length,
      isDone: link !== "live" ? null : isDoneWith(notebook, judge, wave, step),
      isAway: link === "live" && devices.length > 0 && !devices.some(({ online }) => online),
    };
  });
}
