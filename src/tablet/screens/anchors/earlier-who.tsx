import { useState } from "react";
import { sameNames } from "../../../belt-test/planning/same-name.ts";
import type { SeveritiesFile } from "../../../belt-test/verdict/severities-file.ts";
import type { PersonId } from "../../../book/identity.ts";
import { longDay } from "../../../words/dates.ts";
import anchorsWords from "../../../words/en/anchors.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { SelectField } from "../../parts/select-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import css from "./anchors.module.css";

export type EarlierJudge = SeveritiesFile["judges"][number];

interface EarlierWhoProps {
  file: SeveritiesFile;
  judges: readonly { person: PersonId; name: string }[];
  onTake: (taken: readonly { judge: PersonId; its: EarlierJudge }[]) => void;
  onLeave: () => void;
}

const NOBODY = "nobody";

/** Who of an earlier test sits here: names suggest, the chief says. Nothing counts before. */
export function EarlierWho({ file, judges, onTake, onLeave }: EarlierWhoProps) {
  const say = useSay(anchorsWords);
  const [chosen, setChosen] = useState<readonly string[]>(() =>
    sameNames(
      file.judges.map(({ name }) => name),
      judges.map(({ name }) => name),
    ).map((at) => (at === null ? NOBODY : (judges[at]?.person ?? NOBODY))),
  );
  const options = [
    { value: NOBODY, label: say("who-nobody") },
    ...judges.map(({ person, name }) => ({ value: person as string, label: name })),
  ];
  const isTwice = (person: string) =>
    person !== NOBODY && chosen.indexOf(person) !== chosen.lastIndexOf(person);
  const taken = file.judges.flatMap((its, at) =>
    chosen[at] === NOBODY ? [] : [{ judge: chosen[at] as PersonId, its }],
  );
  const isReady = taken.length > 0 && !chosen.some(isTwice);
  return (
    <section className={css.anchor} aria-labelledby="who">
      <h3 id="who">{say("who", { date: longDay(file.date, say.locale) })}</h3>
      <p>{say("who-text")}</p>
      {file.judges.map(({ name }, at) => (
        <SelectField
          // biome-ignore lint/suspicious/noArrayIndexKey: two of an earlier test may bear one name; the file does not change under us.
          key={at}
          label={say("who-of", { name })}
          value={chosen[at] ?? NOBODY}
          options={options}
          {...(isTwice(chosen[at] ?? NOBODY) ? { fault: say("who-twice") } : {})}
          onChange={(person) =>
            setChosen(chosen.map((before, place) => (place === at ? person : before)))
          }
        />
      ))}
      <div className={css.anchorKeys}>
        <Key kind="ink" aria-disabled={!isReady} onClick={() => isReady && onTake(taken)}>
          {say("who-take")}
        </Key>
        <Key kind="quiet" onClick={onLeave}>
          {say("who-leave")}
        </Key>
      </div>
    </section>
  );
}
