import type { Basis } from "../../belt-test/kinds/body-parts.ts";
import { basisOfPerson } from "../../belt-test/scorebook/out-of-turn.ts";
import type { PersonId } from "../../book/identity.ts";
import type { Notebook } from "./notebook.ts";

/** Without a hub this device says itself what it holds of a judge at this moment; with one the hub does, which alone holds closed marks. */
export function heldWithoutHub({ book, pass }: Notebook, judge: PersonId): { basis?: Basis } {
  if (pass.token) return {};
  return { basis: basisOfPerson(book.entries(), judge) };
}
