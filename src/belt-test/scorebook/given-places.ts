import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { Scorebook } from "./scorebook.ts";

/** Places that `from` had and `holder` has now, by whose they were first in the plan. */
export interface GivenPlaces {
  from: PersonId;
  holder: PersonId;
  places: PersonId[];
}

/** Every place that is another's by now, gathered by who had it and who has it. A place that went through several hands stands under each that had it; of one that came back those who had it meanwhile gave nothing away. */
export function givenPlaces({ panel }: Scorebook): GivenPlaces[] {
  const found = new Map<string, GivenPlaces>();
  const firsts = panel.assignments.flatMap(({ judge, candidates }) =>
    candidates.length > 0 ? [judge] : [],
  );
  for (const first of new Set(firsts)) {
    const holders = panel.holders(first, NOW);
    const holder = holders.at(-1) as PersonId;
    for (const from of new Set(holders.slice(0, holders.indexOf(holder)))) {
      const known = found.get(`${from}/${holder}`);
      if (known) known.places.push(first);
      else found.set(`${from}/${holder}`, { from, holder, places: [first] });
    }
  }
  return [...found.values()];
}
