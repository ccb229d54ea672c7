import type { DeviceId, EntryId, PersonId } from "../../book/identity.ts";
import type { Scorebook } from "./scorebook.ts";

/** A further device that was let in as somebody who had one already. */
export interface LetIn {
  id: EntryId;
  person: PersonId;
  device: DeviceId;
  decidedBy: PersonId;
  /** Wall clock of the hub, milliseconds since 1970. */
  at: number;
  /** The person said yes to it on a device of theirs. */
  agreed: boolean;
}

/** By the hub's own clock, oldest first. */
export const letIns = (book: Scorebook): LetIn[] =>
  book.floor.letIns
    .map(({ id, at, body: { person, device, decidedBy, agreed } }) => ({
      id,
      person,
      device,
      decidedBy,
      at,
      agreed: agreed === true,
    }))
    .sort((a, b) => a.at - b.at || (a.id < b.id ? -1 : 1));

/**
 * What a person is to be told on one of their devices: who else came in under their name. Of this very device it tells that another was in before it.
 * That somebody said yes to it silences nothing: it may have been said on a device that is not theirs either.
 *
 * @param met  those of which this person said on this device that they know them
 */
export const letInsToTell = (
  book: Scorebook,
  person: PersonId,
  met: readonly EntryId[] = [],
): LetIn[] =>
  letIns(book).filter(
    (one) => one.person === person && one.decidedBy !== person && !met.includes(one.id),
  );
