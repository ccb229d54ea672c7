import { CandidateDetails, PersonDetails } from "./side-record.ts";

/** The name that a side record's body gives somebody, the whole of it; empty for a text. */
export function nameIn(body: unknown): string {
  const candidate = CandidateDetails.safeParse(body);
  if (candidate.success)
    return [candidate.data.given, candidate.data.family].filter(Boolean).join(" ");
  const person = PersonDetails.safeParse(body);
  return person.success ? person.data.name : "";
}

/**
 * Every name that the records about somebody may have given them: of a name that was corrected the records lie in no order, and given name and the rest
 * lie apart. Each given name with each of the rest; no name twice.
 */
export function namesIn(bodies: readonly object[]): string[] {
  const said = (key: string) =>
    bodies.flatMap((body) => {
      const value = (body as Record<string, unknown>)[key];
      return typeof value === "string" && value !== "" ? [value] : [];
    });
  const [given, family] = [said("given"), said("family")];
  const whole = given.flatMap((one) => family.map((rest) => `${one} ${rest}`));
  return [...new Set([...(whole.length > 0 ? whole : [...given, ...family]), ...said("name")])];
}
