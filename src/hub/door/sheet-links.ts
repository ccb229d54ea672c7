import * as z from "zod/mini";
import { CandidateId } from "../../belt-test/identity.ts";
import { FaultError } from "../../book/faults.ts";
import { GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import { hashOf, makeToken } from "../seals/secrets.ts";
import { settingOf } from "../store/setting-of.ts";

/** Each link is one setting, named by the hash of its token: the table that every store keeps, and no secret in it. */
const NAME = "sheet-link/";
const DAY_MS = 24 * 60 * 60 * 1000;
/** Live links of one belt test; far above any family with two homes. */
const MOST_LINKS = 2000;

/** A link that opens one candidate's sheet. Times are the hub's wall clock, milliseconds since 1970. */
const KeptLink = z.object({
  grading: GradingId,
  candidate: CandidateId,
  madeAtMs: z.number(),
  expiresAtMs: z.number(),
});
export type KeptLink = z.infer<typeof KeptLink>;
/** A link in the chief's list: `id` names it and opens nothing. */
export type ListedLink = KeptLink & { id: string };

/**
 * Links by which a family reads a released sheet: 256 bits of chance that the hub itself forgets at once.
 * What it keeps is their hash, whom they are for, and until when. All hubs on one store know the same links.
 */
export class SheetLinks {
  readonly #tables: DoorTables;
  readonly #nowMs: () => number;
  readonly #onRevoke: (id: string) => void;

  /** @param onRevoke  told of each link that is taken back, before it is: what is noted there outlives a copy that is put back. */
  constructor(
    tables: DoorTables,
    nowMs: () => number,
    onRevoke: (id: string) => void = () => undefined,
  ) {
    this.#tables = tables;
    this.#nowMs = nowMs;
    this.#onRevoke = onRevoke;
  }

  /** @returns the link and its token, which nobody can be told a second time. @throws FaultError TOO_MANY_TRIES. */
  async make(
    grading: GradingId,
    candidate: CandidateId,
    days: number,
  ): Promise<ListedLink & { token: string }> {
    if ((await this.#all(grading)).length >= MOST_LINKS) await this.#dropExpired(grading);
    if ((await this.#all(grading)).length >= MOST_LINKS)
      throw new FaultError({ code: "TOO_MANY_TRIES", with: { seconds: DAY_MS / 1000 } });
    const token = makeToken();
    const madeAtMs = this.#nowMs();
    const link = { grading, candidate, madeAtMs, expiresAtMs: madeAtMs + days * DAY_MS };
    await this.#tables.keepSetting(NAME + hashOf(token), JSON.stringify(link));
    return { id: hashOf(token), token, ...link };
  }
  /** The live links of a belt test, oldest first. What has expired by a clock that may be wrong today is not cleared away for it. */
  async of(grading: GradingId): Promise<ListedLink[]> {
    const live = (await this.#all(grading)).filter(
      ({ expiresAtMs }) => expiresAtMs > this.#nowMs(),
    );
    return live.sort((a, b) => a.madeAtMs - b.madeAtMs);
  }
  async #all(grading: GradingId): Promise<ListedLink[]> {
    return (await this.#tables.settings(NAME)).flatMap(({ name, value }) => {
      const link = settingOf(KeptLink, value);
      return link?.grading === grading ? [{ id: name.slice(NAME.length), ...link }] : [];
    });
  }
  /** Only where there is no more room. */
  async #dropExpired(grading: GradingId): Promise<void> {
    for (const { id, ...link } of await this.#all(grading))
      if (link.expiresAtMs <= this.#nowMs())
        await this.#tables.takeSetting(NAME + id, JSON.stringify(link));
  }
  /** At once: the next one who opens it is told that it opens nothing. @throws FaultError LINK_WRONG for another test's link, or none. */
  async revoke(grading: GradingId, id: string): Promise<void> {
    const value = await this.#tables.setting(NAME + id);
    if (value === undefined || settingOf(KeptLink, value)?.grading !== grading)
      throw new FaultError({ code: "LINK_WRONG" });
    this.#onRevoke(id);
    if (!(await this.#tables.takeSetting(NAME + id, value)))
      throw new FaultError({ code: "LINK_WRONG" });
  }
  /** Every link to the sheet of somebody who was erased. */
  async forget(grading: GradingId, about: string): Promise<void> {
    for (const { id, candidate } of await this.#all(grading))
      if ((candidate as string) === about) await this.revoke(grading, id);
  }
  /** What a token opens. @throws FaultError LINK_WRONG: never made, revoked and expired look the same from outside. */
  async opened(token: string): Promise<KeptLink> {
    const value = await this.#tables.setting(NAME + hashOf(token));
    const link = value === undefined ? undefined : settingOf(KeptLink, value);
    if (!link || link.expiresAtMs <= this.#nowMs()) throw new FaultError({ code: "LINK_WRONG" });
    return link;
  }
}

/** Removes the links that were taken back once and came again with a copy from before. @returns how many. */
export async function dropRevoked(
  tables: DoorTables,
  isRevoked: (id: string) => boolean,
): Promise<number> {
  let dropped = 0;
  for (const { name, value } of await tables.settings(NAME))
    if (isRevoked(name.slice(NAME.length)) && (await tables.takeSetting(name, value))) dropped++;
  return dropped;
}
