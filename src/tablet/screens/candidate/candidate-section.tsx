import { useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { levelsAt } from "../../../belt-test/rubric/lookup.ts";
import { DONE, type Section } from "../../../belt-test/rubric/rubric.ts";
import { type Place, placeKey } from "../../../belt-test/scorebook/cell.ts";
import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import { FreeText } from "../../../belt-test/scorebook/side-bodies.ts";
import type { Outcome, SectionOutcome } from "../../../belt-test/verdict/outcome.ts";
import { listed } from "../../../words/listed.ts";
import {
  criterionTitle,
  itemTitle,
  levelInWords,
  placeInWords,
  shortName,
  type Told,
} from "../../in-words/question-in-words.ts";
import { shownPercent } from "../../in-words/shown-percent.ts";
import { Key } from "../../parts/key.tsx";
import { mayAskAgain } from "../../session/may-ask-again.ts";
import { useLibrary } from "../../session/use-library.ts";
import css from "./candidate.module.css";
import { type CellOfAll, levelAt, type Rows, rowsOf } from "./candidate-cells.ts";
import { CandidateThreads } from "./candidate-thread.tsx";

interface CandidateSectionProps {
  told: Told;
  section: Section;
  outcome: Outcome;
  standing: SectionOutcome;
  startsOpen: boolean;
  onAsk: (cell: CellOfAll) => void;
}

/** One open section: where it stands in a line of words, and every judge's marks side by side when it is unfolded. */
export function CandidateSection(props: CandidateSectionProps) {
  const { told, section, outcome, standing, startsOpen } = props;
  const { say } = told;
  const [isOpen, setOpen] = useState(startsOpen);
  const questions = outcome.questions.filter(
    (question) => question.section === section.id && !question.isSettled,
  ).length;
  return (
    <details
      className={css.marksSection}
      open={isOpen}
      onToggle={(event) => setOpen(event.currentTarget.open)}
    >
      <summary>
        <b>{section.title}</b>
        <span className={css.marksStanding} data-unmet={standing.unmet.length > 0 || undefined}>
          {standingInWords(told, standing)}
        </span>
        {questions > 0 && (
          <span className={css.marksQuestions}>
            {say("section-questions", { count: questions })}
          </span>
        )}
      </summary>
      {isOpen && <Marks {...props} />}
    </details>
  );
}

function standingInWords(told: Told, standing: SectionOutcome): string {
  const { say } = told;
  const { score, floor, unmet } = standing;
  if (standing.isExcused) return say("section-excused");
  // Whoever left is asked for no lock, so what was marked of them counts for nothing.
  if (score === null)
    return say(isHere(told.notebook.book, told.candidate) ? "section-unseen" : "section-kept");
  const parts = [say("section-score", { score: shownPercent(score.percent, floor) })];
  if (floor > 0)
    parts.push(
      say(unmet.some(({ item }) => item === null) ? "section-floor-unmet" : "section-floor-met", {
        floor,
      }),
    );
  for (const { item, why } of unmet)
    if (item && why === "below")
      parts.push(say("section-mustshow", { item: itemTitle(told, item) }));
  return parts.join(", ");
}

function Marks({ told, section, outcome, onAsk }: CandidateSectionProps) {
  const { notebook, rubric, candidate, say } = told;
  const rows = rowsOf(notebook.book, candidate, rubric, section, outcome);
  const levels = Array.from({ length: levelsAt(rubric, section) }, (_, at) => at + 1);
  const criterion = section.marking === "checklist" ? DONE : "";
  const meets = section.marking === "checklist" ? levels.length : rubric.scale.meetsLevel;
  const excused = section.items.filter(({ id }) => notebook.book.plan.excuse(candidate, id));
  return (
    <div className={css.allMarks}>
      <p className={css.marksScale}>
        <span className="unseen">{say("scale-of")}</span>
        {levels.map((level) => (
          <span
            key={level}
            style={{ left: `${levelAt(level, rubric, section)}%` }}
            data-meets={level === meets || undefined}
          >
            {levelInWords(told, level, criterion)}
          </span>
        ))}
      </p>
      {rows.map((row) => (
        <MarksOfItem
          key={`${row.item?.id}/${row.side}`}
          told={told}
          section={section}
          row={row}
          onAsk={onAsk}
        />
      ))}
      {excused.map(({ id, title }) => {
        const { why, reason } = notebook.book.plan.excuse(candidate, id) ?? {};
        const read = FreeText.safeParse(reason && notebook.sides.get(reason.id)?.body);
        const said = read.success ? read.data.text : why;
        const known = (["age", "accommodation"] as const).find((one) => one === said);
        const words = known ? say(`excused-${known}`) : said !== "chief" && said;
        return (
          <p key={id} className={css.marksAside}>
            {say("excused-item", { item: title })}
            {words && ` (${words})`}
          </p>
        );
      })}
      <Overalls told={told} section={section} />
      <Notes told={told} section={section} candidate={candidate} />
    </div>
  );
}

function MarksOfItem({
  told,
  section,
  row,
  onAsk,
}: {
  told: Told;
  section: Section;
  row: Rows;
  onAsk: (cell: CellOfAll) => void;
}) {
  const { say } = told;
  const { item, side, cells } = row;
  const isList = section.marking === "checklist";
  const title = item
    ? side
      ? say("place-item-side", { item: item.title, side })
      : item.title
    : say("once");
  return (
    <section className={css.marksItem}>
      {!isList && <h3>{title}</h3>}
      {cells.map((cell) => (
        <div key={placeKey(cell.place)} className={css.marksCell}>
          <span className={css.marksCriterion}>
            {isList ? title : criterionTitle(told, cell.place.criterion)}
          </span>
          <CandidateThreads told={told} section={section} cell={cell} />
          {(cell.isPlain && cell.blank.length === 0) ||
          cell.threads.length + cell.blank.length === 0 ||
          !mayAskAgain(told.notebook) ? (
            <span />
          ) : (
            <Key
              kind="quiet"
              className={css.marksAsk}
              aria-label={say("ask-key", { place: placeInWords(told, cell.place) })}
              onClick={() => onAsk(cell)}
            >
              {say("ask-short")}
            </Key>
          )}
          <Seen told={told} cell={cell} />
        </div>
      ))}
    </section>
  );
}

/** What judges named beside their mark: faults, and what a re-mark was before. */
function Seen({ told, cell }: { told: Told; cell: CellOfAll }) {
  const library = useLibrary();
  const { notebook, candidate, say } = told;
  const words = cell.threads.flatMap(({ judge, first }) => {
    const faults = notebook.book.marks
      .faults(judge, candidate, cell.place)
      .map((id) => library?.faults.find((fault) => fault.id === id)?.chip ?? id);
    const name = shortName(told, judge);
    return [
      ...(first === undefined
        ? []
        : [
            say("mark-of", {
              name,
              level: say("was", { level: levelInWords(told, first, cell.place.criterion) }),
            }),
          ]),
      ...(faults.length > 0
        ? [
            say("faults", {
              name,
              faults: listed(faults, say.locale).toLocaleLowerCase(say.locale),
            }),
          ]
        : []),
    ];
  });
  const asked = askedWords(told, cell.place);
  if (words.length + asked.length === 0) return null;
  return (
    <p className={css.marksSeen}>
      {[...words, ...asked].map((one) => (
        <span key={one}>{one}</span>
      ))}
    </p>
  );
}

/** Whom the chief has asked about this cell: who is still asked, and who has looked. */
function askedWords(told: Told, place: Place): string[] {
  const { notebook, candidate, say } = told;
  const asked = notebook.book.requests.all.filter(
    ({ body }) =>
      body.candidate === candidate &&
      body.ask === "talk" &&
      body.section === place.section &&
      body.item === place.item &&
      body.side === place.side &&
      (body.criterion === null || body.criterion === place.criterion),
  );
  const namesOf = (those: typeof asked) =>
    listed([...new Set(those.map(({ body }) => shortName(told, body.judge)))], say.locale);
  const waiting = asked.filter(({ id }) => !notebook.book.requests.answer(id));
  const looked = asked.filter(
    ({ id, body }) =>
      notebook.book.requests.answer(id) && !waiting.some((one) => one.body.judge === body.judge),
  );
  return [
    ...(waiting.length > 0 ? [say("asked", { names: namesOf(waiting) })] : []),
    ...(looked.length > 0 ? [say("looked", { names: namesOf(looked) })] : []),
  ];
}

function Overalls({ told, section }: { told: Told; section: Section }) {
  const { notebook, candidate, say } = told;
  const { book } = notebook;
  const counted = book.marks.overalls(candidate).filter((one) => one.section === section.id);
  // Beside the marks that are shown and count for nothing: by whoever never locked, of a child who left.
  const kept = book.plan.seats.flatMap(({ person: judge }) => {
    const judgement = book.marks.overall(judge, candidate, section.id);
    const isCounted = counted.some((one) => one.judge === judge);
    return judgement === null || isCounted ? [] : [{ judge, section: section.id, judgement }];
  });
  const given = [...counted, ...kept].sort((a, b) => (a.judge < b.judge ? -1 : 1));
  if (given.length === 0) return null;
  return (
    <section className={css.marksAside}>
      <h3>{say("overall")}</h3>
      <ul>
        {given.map(({ judge, judgement }) => (
          <li key={judge}>
            {say("mark-of", {
              name: shortName(told, judge),
              level: say(`overall-${judgement as 1 | 2 | 3 | 4}`),
            })}
            {kept.some((one) => one.judge === judge) && `, ${say("overall-kept")}`}
          </li>
        ))}
      </ul>
    </section>
  );
}

function Notes({
  told,
  section,
  candidate,
}: {
  told: Told;
  section: Section;
  candidate: CandidateId;
}) {
  const { notebook, say } = told;
  const notes = notebook.book.marks.notes(candidate).flatMap(({ id, by, body }) => {
    if (body.section !== section.id) return [];
    const read = FreeText.safeParse(notebook.sides.get(body.text.id)?.body);
    if (!read.success) return [];
    const place = body.item ? itemTitle(told, body.item) : say("once");
    return [{ id, who: say("note", { name: shortName(told, by), place }), text: read.data.text }];
  });
  if (notes.length === 0) return null;
  return (
    <section className={css.marksAside}>
      <h3>{say("notes")}</h3>
      {notes.map(({ id, who, text }) => (
        <p key={id}>
          {who} <q>{text}</q>
        </p>
      ))}
    </section>
  );
}
