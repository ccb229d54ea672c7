import type { PersonId } from "../../book/identity.ts";
import type { CandidateId } from "../identity.ts";
import type { Scorebook } from "./scorebook.ts";

/** Judges who were asked to look at a child again and have not answered: until then the result is not what it may be in two minutes. */
export function askedAgain(book: Scorebook, candidate: CandidateId): PersonId[] {
  const asked = book.requests.all.filter(
    ({ body }) => body.candidate === candidate && body.ask === "talk",
  );
  const judges = new Set(asked.map(({ body }) => book.panel.successor(body.judge)));
  return [...judges].filter((judge) =>
    book.requests.openTo(judge).some(({ id }) => asked.some((one) => one.id === id)),
  );
}
