import { useState } from "react";
import type { AnchorId } from "../../../belt-test/identity.ts";
import anchorsWords from "../../../words/en/anchors.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { SelectField } from "../../parts/select-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook, useServices } from "../../session/services.tsx";
import css from "./anchors.module.css";

/** Shows a section to all judges. Lists are left out: done is done. */
export function AnchorNew() {
  const say = useSay(anchorsWords);
  const notebook = useNotebook();
  const { makeId } = useServices();
  const { book } = notebook;
  const [chosen, setChosen] = useState("");
  const choices = book.plan.rubrics.flatMap((rubric) =>
    rubric.sections
      .filter(({ marking }) => marking !== "checklist")
      .map((section) => ({
        value: `${rubric.id}/${section.id}`,
        label: say("section-of", { rubric: rubric.title, section: section.title }),
        rubric: rubric.id,
        section: section.id,
      })),
  );
  const choice = choices.find(({ value }) => value === chosen);
  async function show() {
    if (!choice) return;
    const { rubric, section } = choice;
    const anchor = makeId() as AnchorId;
    await notebook.write("anchor-set", { anchor, rubric, section, isOpen: true });
    setChosen("");
  }
  return (
    <div className={css.anchorNew}>
      <SelectField
        label={say("section")}
        none=""
        value={chosen}
        options={choices}
        onChange={setChosen}
      />
      <Key aria-disabled={!choice} onClick={() => void show()}>
        {say("add-key")}
      </Key>
    </div>
  );
}
