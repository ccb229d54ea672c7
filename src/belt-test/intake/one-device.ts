import type { AnyEntry } from "../../book/entry.ts";
import type { DeviceId, PersonId } from "../../book/identity.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import type { ChiefsWord } from "./chiefs-word.ts";
import { ownDevices } from "./persons-file.ts";

/**
 * A tablet is one person's. Of two files in which different people wrote on one, and of which nothing here knows whose it is, one lies: whichever came first
 * would keep the other's whole day out.
 *
 * @param files a file that names no person, as a hub's copy, holds what everybody wrote and claims nothing.
 * @returns every pair that claims one, each once
 */
export function onOneDevice<
  File extends {
    person?: PersonId | undefined;
    entries: readonly Pick<AnyEntry, "device" | "by">[];
  },
>(
  book: Scorebook,
  files: readonly File[],
  word?: ChiefsWord,
): { file: File; other: File; device: DeviceId }[] {
  const claims = files.flatMap((file) =>
    file.person === undefined
      ? []
      : [{ file, devices: ownDevices(book, file.person, file.entries, [], word) }],
  );
  return claims.flatMap(({ file, devices }, at) =>
    claims.slice(0, at).flatMap((before) => {
      if (before.file.person === file.person) return [];
      const device = [...devices].find((one) => before.devices.has(one));
      return device === undefined ? [] : [{ file, other: before.file, device }];
    }),
  );
}
