import type { PersonId } from "../../book/identity.ts";
import type { Role } from "../kinds/body-parts.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

/**
 * With which roles a book takes what somebody saved as a file. Whoever judged once and does so no more may still hand in what they marked then, by the plan of then;
 * of any other role only what they are now.
 */
export function rolesInFile(book: Scorebook, person: PersonId): readonly Role[] {
  const roles = new Set(book.plan.seat(person)?.roles);
  if (book.plan.hasBeen(person, "judge")) roles.add("judge");
  return [...roles];
}

/** With which roles a book takes a line that the chief's device took: whoever wrote it had them then, whatever they are by now. */
export const rolesOfTaken = (
  book: Scorebook,
  { person, roles }: { person: PersonId; roles: readonly Role[] },
): readonly Role[] => [...new Set([...roles, ...book.plan.rolesEver(person)])];
