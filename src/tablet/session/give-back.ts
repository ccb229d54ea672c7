import { type GivenPlaces, givenPlaces } from "../../belt-test/scorebook/given-places.ts";
import { mayTakeOver } from "../../belt-test/scorebook/may-take-over.ts";
import { giveOver } from "./held-without-hub.ts";
import type { Notebook } from "./notebook.ts";
import { workState } from "./work-state.ts";

/** Places that another has, of judges who are still seated as such; `isFree`: giving them back opens nobody's marks. */
export function givenToOthers(notebook: Notebook): (GivenPlaces & { isFree: boolean })[] {
  const { book } = notebook;
  return givenPlaces(book)
    .filter(({ from }) => book.plan.seat(from)?.roles.includes("judge"))
    .map((given) => ({
      ...given,
      isFree: mayTakeOver(
        book,
        given.holder,
        given.from,
        (...place) => workState(notebook, ...place) === "locked",
        given.places,
      ),
    }));
}

/** Whoever had these places has them again. What was marked meanwhile stays its writer's. */
export const giveBack = (notebook: Notebook, { from, holder, places }: GivenPlaces) =>
  giveOver(notebook, { judge: holder, by: from }, places);
