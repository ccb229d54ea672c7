import { criteriaAt, levelsAt, markedSides } from "../../belt-test/rubric/lookup.ts";
import type { Rubric, Section } from "../../belt-test/rubric/rubric.ts";
import type { EntryBody } from "../../belt-test/scorebook/entry.ts";
import anchorsWords from "../../words/en/anchors.json" with { type: "json" };
import css from "./anchor-grid.module.css";
import { useSay } from "./use-say.ts";

type Marks = EntryBody<"anchor-marked">["marks"];
type Cell = Pick<Marks[number], "item" | "side" | "criterion">;

const keyOf = ({ item, side, criterion }: Cell): string =>
  `${item ?? ""}/${side ?? ""}/${criterion}`;

interface AnchorGridProps {
  rubric: Rubric;
  section: Section;
  marks: Marks;
  onMark: (marks: Marks) => void;
}

/** Every cell of one section with its levels in words: for a performance that is marked sitting down. */
export function AnchorGrid({ rubric, section, marks, onMark }: AnchorGridProps) {
  const say = useSay(anchorsWords);
  const given = new Map(marks.map((mark) => [keyOf(mark), mark.level]));
  const top = levelsAt(rubric, section);
  const rows = [...section.items, null].flatMap((item) =>
    markedSides(item).map((side) => ({
      item,
      side,
      cells: criteriaAt(section, item).map((criterion) => ({
        item: item?.id ?? null,
        side,
        criterion,
      })),
    })),
  );
  function mark(cell: Cell, level: number) {
    const others = marks.filter((one) => keyOf(one) !== keyOf(cell));
    onMark([...others, { ...cell, level }]);
  }
  return (
    <div className={css.root}>
      {rows
        .filter(({ cells }) => cells.length > 0)
        .map(({ item, side, cells }) => {
          const title = item
            ? side
              ? say("item-side", { item: item.title, side })
              : item.title
            : say("whole-section");
          return (
            <section key={`${item?.id}/${side}`} aria-label={title}>
              <h4>{title}</h4>
              {cells.map((cell) => {
                const criterion =
                  rubric.criteria.find(({ id }) => id === cell.criterion)?.title ?? cell.criterion;
                return (
                  <fieldset key={keyOf(cell)}>
                    <legend>{criterion}</legend>
                    {rubric.scale.levels.slice(0, top).map((level, at) => (
                      <label key={level.title}>
                        <input
                          type="radio"
                          name={`${title}/${cell.criterion}`}
                          checked={given.get(keyOf(cell)) === at + 1}
                          onChange={() => mark(cell, at + 1)}
                        />
                        <span>{level.title}</span>
                      </label>
                    ))}
                  </fieldset>
                );
              })}
            </section>
          );
        })}
    </div>
  );
}
