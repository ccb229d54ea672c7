import type { CSSProperties } from "react";
import partsWords from "../../words/en/parts.json" with { type: "json" };
import css from "./belt.module.css";
import { useSay } from "./use-say.ts";

/** A rank's own data: name ("yellow"), colour and the colour of a tip, both `#rrggbb`. */
export interface BeltColours {
  name: string;
  colour: string;
  tip?: string | undefined;
}

/** A belt: a bordered bar and always its name, for colour alone tells nothing in a dim hall. `short` leaves out the word "belt". */
export function Belt({ belt, short = false }: { belt: BeltColours; short?: boolean }) {
  const say = useSay(partsWords);
  const name = short || /belt/i.test(belt.name) ? belt.name : say("belt", { name: belt.name });
  return (
    <span className={css.root} data-part="belt">
      <span
        className={css.bar}
        data-part="belt-bar"
        aria-hidden="true"
        data-tip={belt.tip === undefined ? undefined : ""}
        style={{ "--belt": belt.colour, "--tip": belt.tip } as CSSProperties}
      />
      <span className={css.name} data-part="belt-name">
        {name}
      </span>
    </span>
  );
}
