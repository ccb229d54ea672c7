import { harmless } from "../../book/harmless-text.ts";
import type { PersonId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { CandidateId } from "../identity.ts";
import { candidateDetails } from "./candidate-details.ts";
import type { Scorebook } from "./scorebook.ts";
import { PersonDetails } from "./side-bodies.ts";

/**
 * What somebody is called by the book's last line of it, in whatever order their records lie; by what is left where a part of it is not here.
 *
 * @param records  what is kept about them. @returns empty where nothing of it is a name
 */
export function nameOf(book: Scorebook, about: string, records: readonly SideRecord[]): string {
  const entrant = book.plan.entrant(about as CandidateId);
  const details =
    entrant && candidateDetails(entrant, (id) => records.find((one) => one.id === id));
  const ref = book.plan.seat(about as PersonId)?.details;
  const seated = PersonDetails.safeParse(records.find(({ id }) => id === ref?.id)?.body);
  const stands = details
    ? [details.given, details.family].filter(Boolean).join(" ")
    : seated.data?.name;
  return stands ?? namesIn(records)[0] ?? "";
}

/**
 * Every name that the records about somebody may have given them: of a name that was corrected both, and given name and the rest lie apart.
 * Each given name with each of the rest; no name twice.
 */
export function namesIn(records: readonly Pick<SideRecord, "body">[]): string[] {
  const said = (key: string) =>
    records.flatMap(({ body }) => {
      const value = body[key];
      return typeof value === "string" ? [harmless(value).trim()].filter(Boolean) : [];
    });
  const [given, family] = [said("given"), said("family")];
  const whole = given.flatMap((one) => family.map((rest) => `${one} ${rest}`));
  return [...new Set([...(whole.length > 0 ? whole : [...given, ...family]), ...said("name")])];
}
