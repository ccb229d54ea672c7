import type { CandidateId } from "../../belt-test/identity.ts";
import candidateWords from "../../words/en/candidate.json" with { type: "json" };
import questionsWords from "../../words/en/questions.json" with { type: "json" };
import type { SayOf } from "../../words/say.ts";
import { useSay } from "../parts/use-say.ts";
import { useNotebook } from "../session/services.tsx";
import type { Told } from "./question-in-words.ts";

/** Words, rubric and book for what is said of one candidate; undefined while the rubric has not arrived. */
export function useTelling(): (
  candidate: CandidateId,
) => (Told & { sayQuestion: SayOf<typeof questionsWords> }) | undefined {
  const notebook = useNotebook();
  const say = useSay(candidateWords);
  const sayQuestion = useSay(questionsWords);
  return (candidate) => {
    const rubric = notebook.book.plan.rubricOf(candidate);
    return rubric && { notebook, say, sayQuestion, rubric, candidate };
  };
}
