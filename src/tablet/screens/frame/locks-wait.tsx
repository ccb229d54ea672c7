import { sectionOf } from "../../../belt-test/rubric/lookup.ts";
import type { LockOrAnswer } from "../../../belt-test/scorebook/refusal-of-basis.ts";
import troublesWords from "../../../words/en/troubles.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";

/** A judge's locks, and answers, that stand here until another tablet of theirs has sent the marks they speak of. */
export function LocksWait({ waiting }: { waiting: readonly LockOrAnswer[] }) {
  const { book } = useNotebook();
  const say = useSay(troublesWords);
  const places = waiting.flatMap((entry) => {
    const { section } = entry.body;
    const candidates = entry.kind === "locked" ? entry.body.candidates : [entry.body.candidate];
    return candidates.map((candidate) => {
      const rubric = book.plan.rubricOf(candidate);
      return say("locks-wait-place", {
        section: (rubric && sectionOf(rubric, section)?.title) ?? section,
        number: book.plan.entrant(candidate)?.number ?? candidate,
      });
    });
  });
  return (
    <p>{say("locks-wait", { count: waiting.length, places: [...new Set(places)].join("; ") })}</p>
  );
}
