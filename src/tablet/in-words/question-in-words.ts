import type { CandidateId } from "../../belt-test/identity.ts";
import { itemOf, sectionOf } from "../../belt-test/rubric/lookup.ts";
import { DONE, type Rubric } from "../../belt-test/rubric/rubric.ts";
import type { Place } from "../../belt-test/scorebook/cell.ts";
import type { Outcome, Question } from "../../belt-test/verdict/outcome.ts";
import type { PersonId } from "../../book/identity.ts";
import type candidateWords from "../../words/en/candidate.json";
import type questionsWords from "../../words/en/questions.json";
import { halfPoints } from "../../words/half-points.ts";
import { listed } from "../../words/listed.ts";
import { effectWords, type Names, questionSentence } from "../../words/question-sentence.ts";
import type { SayOf } from "../../words/say.ts";
import { personName } from "../session/names.ts";
import type { Notebook } from "../session/notebook.ts";
import { shownPercent } from "./shown-percent.ts";

type SayCandidate = SayOf<typeof candidateWords>;

/** What the words of one candidate's page are made from. */
export interface Told {
  notebook: Notebook;
  say: SayCandidate;
  rubric: Rubric;
  candidate: CandidateId;
}

export const nameOf = (
  { notebook, say }: Pick<Told, "notebook" | "say">,
  person: PersonId,
): string => personName(notebook, person) ?? say("somebody");

/** The family name, or what there is: a thread has little room. */
export const shortName = (told: Pick<Told, "notebook" | "say">, person: PersonId): string => {
  const name = nameOf(told, person);
  const [, ...rest] = name.split(" ");
  return rest.length > 0 ? rest.join(" ") : name;
};

export const sectionTitle = ({ rubric }: Pick<Told, "rubric">, id: string | undefined): string =>
  rubric.sections.find((section) => section.id === id)?.title ?? id ?? "";

export function itemTitle({ rubric }: Pick<Told, "rubric">, id: string | null | undefined): string {
  for (const { items } of rubric.sections) {
    const item = items.find((one) => one.id === id);
    if (item) return item.title;
  }
  return id ?? "";
}

export const criterionTitle = (
  { rubric, say }: Pick<Told, "rubric" | "say">,
  id: string,
): string =>
  id === DONE
    ? say("criterion-done")
    : (rubric.criteria.find((criterion) => criterion.id === id)?.title ?? id);

export function placeInWords(told: Told, { section, item, side, criterion }: Place): string {
  const criterionWord = criterionTitle(told, criterion);
  if (item === null) return told.say("place-once", { criterion: criterionWord });
  const found = sectionOf(told.rubric, section);
  const title = (found && itemOf(found, item)?.title) ?? item;
  // A checklist asks one thing of an item: the item itself.
  if (criterion === DONE) return title;
  return side === null
    ? told.say("place", { criterion: criterionWord, item: title })
    : told.say("place-side", { criterion: criterionWord, item: title, side });
}

export function levelInWords(
  { rubric, say }: Pick<Told, "rubric" | "say">,
  level: number | "not-seen",
  criterion: string,
): string {
  if (level === "not-seen") return say("not-seen");
  if (criterion === DONE) return say(level > 1 ? "done" : "not-done");
  return rubric.scale.levels[level - 1]?.title ?? String(level);
}

export interface QuestionInWords {
  title: string;
  /** What it rests on; empty where the title says it all. */
  text: string;
  effect: string;
}

/** A question as a question a chief examiner can answer, with what answering it could do. */
export function questionInWords(
  told: Told & { sayQuestion: SayOf<typeof questionsWords> },
  question: Question,
  outcome: Outcome,
): QuestionInWords {
  const names: Names = {
    section: (id) => sectionTitle(told, id),
    item: (_, id) => itemTitle(told, id),
    criterion: (id) => criterionTitle(told, id).toLocaleLowerCase(told.say.locale),
    judge: (id) => shortName(told, id as PersonId),
  };
  return {
    title: questionSentence(question, names, told.sayQuestion),
    text: restingOn(told, question, outcome),
    effect: effectWords(question, told.sayQuestion),
  };
}

function restingOn(told: Told, question: Question, outcome: Outcome): string {
  const { say, rubric, notebook, candidate } = told;
  const [judge] = question.judges ?? [];
  const { section, item, side, criterion } = question;
  switch (question.kind) {
    case "level-gap":
      if (!section || item === undefined || side === undefined || !criterion) return "";
      return say("q-marks", { marks: marksAt(told, { section, item, side, criterion }) });
    case "overall-split":
      return say("q-marks", { marks: overallsOf(told, question) });
    case "overall-mismatch": {
      const met = outcome.sections.find(({ id }) => id === section)?.unmet.length === 0;
      return say("q-overall-mismatch-text", {
        met: String(met),
        marks: overallsOf(told, question),
      });
    }
    case "borderline": {
      const { mark } = rubric.pass;
      return say("q-borderline-text", {
        score: shownPercent(outcome.score?.percent ?? mark, mark),
        mark,
      });
    }
    case "no-quorum":
      return say("q-no-quorum-text", { quorum: rubric.panel.quorum });
    case "blank":
      return say("q-blank-text");
    case "relation": {
      const name = judge ? nameOf(told, judge) : "";
      const relation = (judge && notebook.book.panel.relation(judge, candidate)) ?? "other";
      return say("q-relation-text", { name, relation: relation.replace("-", "_") });
    }
    case "conflict":
      return say("q-conflict-text");
    case "severity": {
      const { adjusted } = outcome;
      if (!adjusted) return "";
      return say("q-severity-text", {
        score: shownPercent(adjusted.score, rubric.pass.mark),
        error: say("points", halfPoints(adjusted.se)),
      });
    }
    case "doubtful":
      return say("q-doubtful-text");
    case "list-split":
    case "lone-dissent":
    case "unseen":
    case "late":
      return "";
  }
}

/** Every judge's mark of one cell: “Halvorsen: Not yet, Okonkwo: Meets”. */
function marksAt(told: Told, place: Place): string {
  const { notebook, candidate, say } = told;
  const marks = notebook.book.marks
    .of(candidate, "verdict")
    .filter(
      (mark) =>
        mark.section === place.section &&
        mark.item === place.item &&
        mark.side === place.side &&
        mark.criterion === place.criterion,
    )
    .map(({ judge, level }) =>
      say("mark-of", {
        name: shortName(told, judge),
        level: levelInWords(told, level, place.criterion),
      }),
    );
  return listed(marks, say.locale);
}

function overallsOf(told: Told, question: Question): string {
  const { notebook, candidate, say } = told;
  return listed(
    notebook.book.marks
      .overalls(candidate)
      .filter(({ section }) => section === question.section)
      .map(({ judge, judgement }) =>
        say("mark-of", {
          name: shortName(told, judge),
          level: say(`overall-${judgement as 1 | 2 | 3 | 4}`),
        }),
      ),
    say.locale,
  );
}

/** What a question was about, from its name alone: for one that is settled and whose marks no longer raise it. */
export function questionSubject(told: Told, key: string): string {
  const [kind, ...rest] = key.split("/");
  // See question-keys.ts: the place comes last, before it the judge where one is asked about.
  if (kind === "level-gap" || kind === "conflict") {
    const [section, item, side, criterion] = rest.slice(-4);
    return placeInWords(told, {
      section: section as Place["section"],
      item: (item || null) as Place["item"],
      side: (side || null) as Place["side"],
      criterion: criterion as Place["criterion"],
    });
  }
  if (kind === "relation") return nameOf(told, rest[0] as PersonId);
  return kind === "borderline" || kind === "severity" || kind === "doubtful"
    ? told.say("settled-total")
    : sectionTitle(told, rest[rest.length - 1]);
}
