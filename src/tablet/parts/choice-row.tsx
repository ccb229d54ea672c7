import css from "./choice-row.module.css";

interface ChoiceRowProps<Choice extends string> {
  legend: string;
  /** Of the group, once on a page. */
  name: string;
  choices: readonly Choice[];
  chosen: Choice;
  wordFor: (choice: Choice) => string;
  onChoose: (choice: Choice) => void;
}

/** One of a few, side by side in one frame, each as large as a key. */
export function ChoiceRow<Choice extends string>(props: ChoiceRowProps<Choice>) {
  const { legend, name, choices, chosen, wordFor, onChoose } = props;
  return (
    <fieldset className={`${css.root} one-of`} data-part="choice-row">
      <legend>{legend}</legend>
      <div>
        {choices.map((choice) => (
          <label key={choice}>
            <input
              type="radio"
              name={name}
              checked={choice === chosen}
              onChange={() => onChoose(choice)}
            />
            <span>{wordFor(choice)}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}
