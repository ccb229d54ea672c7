import type { SideRecordId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { Entrant } from "./plan.ts";
import { CandidateDetails } from "./side-bodies.ts";

/**
 * What is known here of a candidate's name and person, out of the one record of an old book or the two of a newer one.
 *
 * @param side  what is kept of names and texts, as far as it was sent here.
 * @returns undefined where the given name is not here: it was erased, or this device is not sent it.
 */
export function candidateDetails(
  { details, given }: Pick<Entrant, "details" | "given">,
  side: (id: SideRecordId) => SideRecord | undefined,
): CandidateDetails | undefined {
  const body = { ...(details && side(details.id)?.body), ...(given && side(given.id)?.body) };
  const read = CandidateDetails.safeParse(body);
  return read.success ? read.data : undefined;
}

/** A candidate's details as the two bodies that they are kept in. */
export function inTwo({ given, sounds, ...rest }: CandidateDetails): {
  given: Record<string, unknown>;
  rest: Record<string, unknown>;
} {
  return { given: { given, ...(sounds === undefined ? {} : { sounds }) }, rest };
}

const WITHHELD = "0".repeat(32);

/**
 * The part of a candidate's record that judges and callers may be sent; null where it has none.
 * Given name and how to say it are a record of their own. Of an older record, which holds more, the part comes without its salt:
 * with it and the digest in the entry anybody could try years of birth until one fits.
 */
export function givenPart(record: SideRecord): SideRecord | null {
  const { given, sounds, ...more } = record.body;
  if (given === undefined) return null;
  if (Object.keys(more).length === 0) return record;
  return {
    ...record,
    salt: WITHHELD,
    body: inTwo({
      given: String(given),
      ...(sounds === undefined ? {} : { sounds: String(sounds) }),
    }).given,
  };
}
