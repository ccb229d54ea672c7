import { isOpen } from "../../belt-test/verdict/is-open.ts";
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
      why: outcome.sections.flatMap((section) => missing(told, section)),
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
  const failing = outcome.sections.filter(({ met, isExcused }) => !met && !isExcused);
  return {
    headline: retestHeadline(told, outcome),
    why: [
      ...failing.flatMap((section) => falling(told, section)),
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

function falling(told: Told, section: SectionOutcome): string[] {
  const { say } = told;
  const found: string[] = [];
  if (section.score && section.score.percent < section.floor)
    found.push(
      say("why-floor", {
        section: sectionTitle(told, section.id),
        score: shownPercent(section.score.percent, section.floor),
        floor: section.floor,
      }),
    );
  for (const item of section.mustShowUnmet)
    found.push(say("why-mustshow", { item: itemTitle(told, item) }));
  return found;
}

function missing(told: Told, section: SectionOutcome): string[] {
  const { say } = told;
  if (section.isExcused) return [];
  const found = section.mustShowUnseen.map((item) =>
    say("why-mustshow-unseen", { item: itemTitle(told, item) }),
  );
  if (section.score === null)
    found.unshift(
      say("why-unseen", {
        section: sectionTitle(told, section.id),
        share: `${Math.floor(section.seen * 100)} %`,
      }),
    );
  return found;
}
