import { placeOf } from "../../belt-test/scorebook/judge-view.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { Step } from "../../belt-test/script/script.ts";

export interface StepName {
  section: string;
  title: string | undefined;
  alias: string | undefined;
  script: string | undefined;
}

/** What a step is called, by the rubric of the first who performs it; `title` undefined at the close of a section. */
export function stepName(book: Scorebook, step: Step): StepName {
  const [first] = step.candidates;
  const place = first && placeOf(book, first, step);
  return {
    section: place?.section.title ?? step.section,
    title: place?.item?.title,
    alias: place?.item?.alias,
    script: place?.item?.script,
  };
}
