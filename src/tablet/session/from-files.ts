import { isKnown } from "../../belt-test/scorebook/entry.ts";
import { isForAnyone } from "../../belt-test/scorebook/out-of-turn.ts";
import { sight } from "../../belt-test/scorebook/sight.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { FromFiles, Pass } from "../../ports/tablet-store.ts";
import type { Notebook } from "./notebook.ts";
import { workState } from "./work-state.ts";

/** What comes out of files where there is a hub: to be said before the lines are on the disk. */
export async function takesFromFiles(
  notebook: Notebook,
  entries: readonly AnyEntry[],
): Promise<void> {
  const since = notebook.lamport;
  await notebook.notes((pass) => {
    const { fromFiles } = pass;
    const before = (fromFiles?.ids ?? []).filter(
      (id) => !fromFiles?.isMet || notebook.heardAnew.isLost(id),
    );
    const ids = [...new Set([...before, ...entries.map(({ id }) => id)])];
    const { person, roles } = pass;
    const sent = entries.filter((entry) => person && sight({ person, roles }, entry) === "now");
    const waits = [...(fromFiles?.waits ?? []), ...sent.map(({ id }) => id)];
    const locks = [...(fromFiles?.locks ?? []), ...entries.flatMap(lockedIn)];
    return { ...pass, fromFiles: { ids, waits, locks, since: fromFiles?.since ?? since } };
  });
}

const lockedIn = (entry: AnyEntry): FromFiles["locks"][number][] =>
  isKnown(entry) && entry.kind === "locked"
    ? entry.body.candidates.map((candidate) => ({
        ...{ judge: entry.by, candidate, section: entry.body.section },
      }))
    : [];

/** A hub is there again: what came out of files leaves the book until the hub says it. @returns what is other in the pass by that */
export function meetsHub(notebook: Notebook, { fromFiles }: Pass): Partial<Pass> {
  if (!fromFiles || fromFiles.isMet) return {};
  return {
    lost: notebook.heardAnew.loses(fromFiles.ids),
    fromFiles: { ...fromFiles, isMet: true },
  };
}

/**
 * How much of what came out of files the hub has; undefined where nothing waits for that. Closed marks no hub says to a chief: of those it says who has locked,
 * and a lock lets nothing of its judge's be missing.
 */
export function saidOfFiles(notebook: Notebook): { said: number; of: number } | undefined {
  const { fromFiles } = notebook.pass;
  if (!fromFiles) return undefined;
  const { waits, locks, isMet } = fromFiles;
  const said = waits.filter((id) => !notebook.heardAnew.isLost(id)).length;
  const awaited = locks.filter((lock) => !isGivenAway(notebook, lock));
  const locked = awaited.filter(
    ({ judge, candidate, section }) => workState(notebook, judge, candidate, section) === "locked",
  ).length;
  return { said: isMet ? said + locked : 0, of: waits.length + awaited.length };
}

/** By what the hub has too, the place is another's: it takes no lock of whoever had it. */
const isGivenAway = (
  { book: { openings, panel }, outbox }: Notebook,
  { judge, candidate, section }: FromFiles["locks"][number],
): boolean => {
  const given = panel.replacements.filter(({ body }) => body.judge === judge);
  return (
    given.length > 0 &&
    given.every(({ id }) => outbox.isSent(id)) &&
    !panel.judgesOf(candidate, section).includes(judge) &&
    !openings.hasLocked(judge, candidate, section)
  );
};

/** All but what this device wrote by lines that the hub does not have yet: handed in before those, it would be judged without them. */
export function withoutHeldBack(
  { pass: { fromFiles } }: Notebook,
  entries: readonly AnyEntry[],
): readonly AnyEntry[] {
  if (!fromFiles) return entries;
  return entries.filter((entry) => entry.lamport <= fromFiles.since || isForAnyone(entry));
}

/** What this device said of the floor, and is held back: whoever is on the line is told all the same, by a hub that was started anew too. */
export const shoutsHeldBack = (
  notebook: Notebook,
  entries: readonly AnyEntry[],
): readonly AnyEntry[] => {
  const goes = new Set(withoutHeldBack(notebook, entries));
  return entries.filter((entry) => entry.kind === "floor-cleared" && !goes.has(entry));
};

const waitsNoMore = (notebook: Notebook): Promise<void> =>
  notebook.notes(({ fromFiles: _, ...pass }) => pass);

/** Once the hub has said all of it nothing waits. @returns whether it is so now */
export async function hasSaidAll(notebook: Notebook): Promise<boolean> {
  const all = saidOfFiles(notebook);
  if (!all || all.said < all.of) return false;
  await waitsNoMore(notebook);
  return true;
}

/** Hands in what was decided by files, whatever the hub has of them. */
export async function handInAllTheSame(notebook: Notebook): Promise<void> {
  await waitsNoMore(notebook);
  const { entries, sides } = await notebook.store.outbox(notebook.pass.grading);
  notebook.offers(entries, sides);
}
