import { isOpen } from "../../belt-test/verdict/is-open.ts";
import type { LineKind, Unmet } from "../../belt-test/verdict/lines.ts";
import type { Outcome, SectionOutcome } from "../../belt-test/verdict/outcome.ts";
import { listed } from "../../words/listed.ts";
import { givenName } from "../session/names.ts";
import { itemTitle, sectionTitle, type Told } from "./question-in-words.ts";
import { shownPercent } from "./shown-percent.ts";

export interface ResultInWords {
  /** “Pass”, “Retest: Kicks”, “Not open yet”. */
  headline: string;
  /** Why, a sentence each. */
  why: readonly string[];
}

/** What is computed of a candidate, in plain words, and why. Nothing of closed marks is in it; how sure it is stands in candidate-sure.tsx. */
export function resultInWords(told: Told, outcome: Outcome): ResultInWords {
  const { say, rubric, notebook, candidate } = told;
  const given = givenName(notebook, candidate);
  const { presence } = outcome;
  if (presence === "withdrawn") {
    const why = notebook.book.floor.withdrawal(candidate) ?? "own-wish";
    return { headline: say("result-withdrawn"), why: [say(`result-withdrawn-${why}`, { given })] };
  }
  if (presence === "absent" || presence === "unfit")
    return {
      headline: say(`result-${presence}`),
      why: [say(`result-${presence}-text`, { given })],
    };
  const someOpen = outcome.sections.some(({ isRevealed }) => isRevealed);
  if (!isOpen(outcome)) {
    // Nobody waits for marks any more.
    if (notebook.book.plan.isClosed && !notebook.book.decisions.verdict(candidate))
      return { headline: say("result-undecided"), why: [say("why-undecided")] };
    if (presence === "expected" && !someOpen)
      return { headline: say("result-expected"), why: [say("result-expected-text", { given })] };
    return {
      headline: say("result-closed"),
      why: [say(someOpen ? "why-some-closed" : "why-closed")],
    };
  }
  if (outcome.computed === "incomplete") {
    const isOver = notebook.book.plan.isClosed && !notebook.book.decisions.verdict(candidate);
    return {
      headline: say(isOver ? "result-undecided" : "result-incomplete"),
      why: outcome.sections.flatMap((section) => reasons(told, section, "unseen")),
    };
  }
  const score = shownPercent(outcome.scoreRounded ?? 0, rubric.pass.mark);
  const { mark } = rubric.pass;
  if (outcome.computed === "pass") {
    const hasFloors = outcome.sections.some(({ floor }) => floor > 0);
    return {
      headline: say("result-pass"),
      why: [say("why-total", { score, mark }), ...(hasFloors ? [say("why-floors-met")] : [])],
    };
  }
  const failing = outcome.sections.filter(({ unmet }) => unmet.length > 0);
  return {
    headline: retestHeadline(told, outcome),
    why: [
      ...failing.flatMap((section) => reasons(told, section, "below")),
      // What is repeated beyond the sections that fall short is there for the total's sake, but where all of it is repeated anyway.
      rubric.retest.scope === "sections" && outcome.retestSections.length > failing.length
        ? say("why-total-below", {
            score,
            mark,
            sections: listed(
              outcome.retestSections.map((id) => sectionTitle(told, id)),
              told.say.locale,
            ),
          })
        : say("why-total", { score, mark }),
    ],
  };
}

export function retestHeadline(
  told: Pick<Told, "say" | "rubric">,
  { retestSections, sections }: Pick<Outcome, "retestSections" | "sections">,
): string {
  const counting = sections.filter(({ isExcused }) => !isExcused);
  if (retestSections.length === 0) return told.say("result-retest");
  if (retestSections.length >= counting.length) return told.say("result-retest-whole");
  return told.say("result-retest-of", {
    sections: listed(
      retestSections.map((id) => sectionTitle(told, id)),
      told.say.locale,
    ),
  });
}

const falling: Record<LineKind, (told: Told, section: SectionOutcome, unmet: Unmet) => string> = {
  floor: (told, { id, score, floor }) =>
    told.say("why-floor", {
      section: sectionTitle(told, id),
      score: shownPercent(score?.percent ?? 0, floor),
      floor,
    }),
  "must-show": (told, _, { item }) => told.say("why-mustshow", { item: itemTitle(told, item) }),
};
const missing: Record<LineKind, (told: Told, section: SectionOutcome, unmet: Unmet) => string> = {
  floor: (told, { id, seen }) =>
    told.say("why-unseen", {
      section: sectionTitle(told, id),
      share: `${Math.floor(seen * 100)} %`,
    }),
  "must-show": (told, _, { item }) =>
    told.say("why-mustshow-unseen", { item: itemTitle(told, item) }),
};
/** Why a section is not met, a sentence a line. */
const reasons = (told: Told, section: SectionOutcome, why: Unmet["why"]): string[] =>
  section.unmet
    .filter((one) => one.why === why)
    .map((one) => (why === "below" ? falling : missing)[one.kind](told, section, one));
