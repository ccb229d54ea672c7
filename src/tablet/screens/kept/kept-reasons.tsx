import type { CandidateId } from "../../../belt-test/identity.ts";
import { type ChiefsReason, chiefsReasons } from "../../../belt-test/scorebook/chiefs-reasons.ts";
import { clockTime } from "../../../words/dates.ts";
import keptWords from "../../../words/en/kept.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName, personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";

/** Why marks were opened without a judge, why a rubric took another's place, and why a child got another: oldest first. Nothing where neither was done. */
export function KeptReasons() {
  const notebook = useNotebook();
  const say = useSay(keptWords);
  const { book } = notebook;
  const told = new Map<string, ChiefsReason[]>();
  for (const reason of chiefsReasons(book)) {
    const saying = sayingOf(reason);
    told.set(saying, [...(told.get(saying) ?? []), reason]);
  }
  if (told.size === 0) return null;
  return (
    <section aria-labelledby="reasons">
      <h2 id="reasons">{say("reasons")}</h2>
      <ul>
        {[...told].map(([saying, [first, ...more]]) => {
          if (!first) return null;
          const name = personName(notebook, first.by) ?? say("somebody");
          return (
            <li key={saying}>
              {say("incident-by", { name, time: clockTime(first.at, say.locale) })}{" "}
              {what([first, ...more])} {wordsOf(first) ?? say("incident-gone")}
            </li>
          );
        })}
      </ul>
    </section>
  );

  function wordsOf({ text }: ChiefsReason): string | undefined {
    const said = notebook.sides.get(text)?.body.text;
    return typeof said === "string" ? said : undefined;
  }
  /** One opening is written child by child, with the same words. */
  function sayingOf(reason: ChiefsReason): string {
    const about =
      reason.kind === "revealed"
        ? reason.section
        : reason.kind === "entered"
          ? `${reason.candidate}/${reason.rubric}`
          : reason.version;
    return JSON.stringify([reason.kind, reason.by, about, wordsOf(reason) ?? reason.text]);
  }
  function what(reasons: readonly ChiefsReason[]): string {
    const [first] = reasons;
    if (first?.kind === "rubric-replaced")
      return say("reason-rubric", { title: first.title, version: first.version });
    if (first?.kind === "entered")
      return say("reason-entered", {
        who: whoIs(first.candidate),
        title: book.plan.rubric(first.rubric)?.title ?? first.rubric,
      });
    const opened = reasons.flatMap((one) => (one.kind === "revealed" ? [one] : []));
    const candidates = [...new Set(opened.flatMap((one) => one.candidates))];
    const section = opened[0]?.section;
    const titles = book.plan.rubrics.flatMap(({ sections }) => sections);
    return say("reason-opened", {
      section: titles.find(({ id }) => id === section)?.title ?? section ?? "",
      who: listed(candidates.map(whoIs), say.locale),
    });
  }
  function whoIs(candidate: CandidateId): string {
    return `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim();
  }
}
