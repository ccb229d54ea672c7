import canonicalize from "canonicalize";
import type { EntryOf } from "../../src/belt-test/scorebook/entry.ts";
import { countedPlace } from "../../src/belt-test/scorebook/place-counts.ts";
import { fold, type Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import { asOpened } from "../../src/belt-test/verdict/as-opened.ts";
import { caseOf } from "../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../src/belt-test/verdict/outcome-of.ts";
import { verdictDoubt } from "../../src/belt-test/verdict/verdict-doubt.ts";
import { deviceOf } from "../../src/book/counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { EntryId } from "../../src/book/identity.ts";
import { lastOf } from "../../src/book/last-of.ts";
import { anId } from "../builders/an-id.ts";
import { stateHash } from "./state-of.ts";
import type { VirtualTablet } from "./virtual-tablet.ts";
import type { World } from "./world.ts";

/** What was promised for the end of a day, when the air is clear and everybody is back. Says to the witness what is not so. */
export async function judgeTheDay(world: World): Promise<void> {
  const { disk, witness, tablets, lost } = world;
  const breaks = (what: string) => witness.breaks(what);
  const lines = await disk.lines();
  const atHub = new Map<string, AnyEntry>(lines.map(({ entry }) => [entry.id, entry]));
  const present = tablets.filter((tablet) => !lost.has(tablet));

  // Nothing acknowledged is lost or doubled.
  if (atHub.size !== lines.length) breaks("an entry stands twice at the hub");
  for (const id of witness.acknowledged) if (!atHub.has(id)) breaks(`acknowledged and lost: ${id}`);

  // Nothing shown as kept is lost, here or at the hub; what the hub refused is in view with its reason.
  for (const [id, device] of witness.kept) {
    const tablet = present.find((one) => one.device === device);
    if (!tablet) continue;
    const row = tablet.disk.rows.get(anId(id));
    if (!row) breaks(`shown as kept and lost from ${device}: ${id}`);
    else if (atHub.has(id)) {
      if (canonicalize(atHub.get(id)) !== canonicalize(row.entry))
        breaks(`another entry at the hub than on ${device}: ${id}`);
    } else if (!isRefusedInView(tablet, id))
      breaks(`kept on ${device} and never at the hub: ${id}`);
  }

  // No count of a device has a gap but for what was refused.
  for (const tablet of present) {
    const own = lines.flatMap(({ entry }) =>
      deviceOf(entry.device) === tablet.device ? [entry] : [],
    );
    const waiting = [...tablet.disk.outbox.keys()].flatMap(
      (id) => tablet.disk.rows.get(id)?.entry ?? [],
    );
    const places = new Set([...own, ...waiting].map(({ device, n }) => `${device}/${n}`));
    for (const [count, highest] of lastOf(own, tablet.device))
      for (let n = 1; n <= highest; n++)
        if (!places.has(`${count}/${n}`))
          breaks(`${count}: number ${n} of ${highest} is missing at the hub`);
  }
  // A lock speaks of everything its judge saw there when locking.
  for (const [lock, seen] of witness.seenAtLock) {
    const { section, candidates, basis } =
      (atHub.get(lock)?.body as EntryOf<"locked">["body"] | undefined) ?? {};
    for (const id of basis ? seen : []) {
      const entry = atHub.get(id);
      const { kind = "", body = {} } = entry ?? {};
      const place = countedPlace(kind, body);
      if (place?.section !== section || place?.candidate !== candidates?.[0]) continue;
      if (entry && entry.n > (basis?.[entry.device] ?? 0))
        breaks(`the lock ${lock} does not speak of ${entry.kind} ${id}, which was there to see`);
    }
  }
  // Nothing is held any more of whom the chief had erased.
  const { erased } = fold(lines.map(({ entry }) => entry));
  for (const { about } of await disk.sides())
    if (erased.has(about)) breaks(`the hub still holds a record about ${about}`);
  for (const tablet of present)
    for (const { about } of tablet.disk.sides.values())
      if (erased.has(about)) breaks(`${tablet.device} still holds a record about ${about}`);
  const { broken } = await disk.chain();
  if (broken) breaks(`the chain breaks at ${broken.seq}: ${broken.why}`);

  for (const tablet of present)
    compareReplica(
      world,
      tablet,
      lines.map(({ entry }) => entry),
    );
  const book = fold(lines.map(({ entry }) => entry));
  for (const change of witness.stood.changed(book)) breaks(`stood at the lock: ${change}`);
  if (!witness.wasRestored) screensSayTheSame(world, book);
  marksStand(book, [...atHub.values()], breaks);
  verdictsStand(book, [...atHub.values()], breaks);
  // Where everybody is back, every verdict can be relied on.
  if (lost.size === 0 || !witness.wasRestored)
    for (const { candidate } of book.plan.entrants) {
      const doubt = verdictDoubt(book, candidate);
      if (doubt) breaks(`the verdict of ${candidate} is doubted: ${doubt}`);
    }
}

/** What the chief's screens say of everybody is what a report on the hub's export says. */
function screensSayTheSame({ tablets, lost, witness }: World, all: Scorebook): void {
  for (const tablet of tablets) {
    if (lost.has(tablet) || !tablet.roles.includes("chief")) continue;
    for (const { notebook } of tablet.tabs)
      for (const { candidate } of all.plan.entrants) {
        const [screen, report] = [notebook.book, all].map((book) =>
          canonicalize([
            asOpened(outcome(caseOf(book, candidate))),
            verdictDoubt(book, candidate) ?? null,
          ]),
        );
        if (screen !== report)
          witness.breaks(
            `${tablet.device} of ${candidate}: ${firstApart(screen ?? "", report ?? "")}`,
          );
      }
  }
}

function firstApart(screen: string, report: string): string {
  let at = 0;
  while (at < screen.length && screen[at] === report[at]) at++;
  const around = (text: string) => text.slice(Math.max(0, at - 80), at + 60);
  return `the screen says …${around(screen)}…, a report …${around(report)}…`;
}

function isRefusedInView(tablet: VirtualTablet, id: string): boolean {
  return (
    tablet.disk.outbox.has(anId(id)) &&
    [...tablet.tabs].some(
      ({ notebook }) =>
        notebook.outbox.refused.has(id as EntryId) || notebook.outbox.isOvertaken(id as EntryId),
    )
  );
}

/** A tablet holds what its person may see and its own, and its book says what those entries say. */
function compareReplica(world: World, tablet: VirtualTablet, all: readonly AnyEntry[]): void {
  const { witness } = world;
  const viewer = { person: tablet.person, roles: tablet.roles };
  const due = new Map<string, AnyEntry>();
  for (const entry of all) if (witness.oracle.maySee(viewer, entry)) due.set(entry.id, entry);
  const held = tablet.disk.rows;
  // What the hub refused stays on the tablet that wrote it.
  const more = new Set<string>(tablet.disk.outbox.keys());
  // A backup has another order, and so may refuse what was taken, and close what was open: whoever heard it before still has it.
  if (witness.wasRestored) {
    for (const { id } of all) more.add(id);
    // What the lost hub had said for a missing lock, the new one says anew.
    for (const { entry } of held.values()) if (entry.kind === "held") more.add(entry.id);
    for (const { disk } of world.tablets) for (const id of disk.outbox.keys()) more.add(id);
  }
  for (const [id, { kind }] of due)
    if (!held.has(id as EntryId)) witness.breaks(`${tablet.device} never got ${kind} ${id}`);
  for (const [id, { entry }] of held)
    if (!due.has(id) && !more.has(id)) witness.breaks(`${tablet.device} holds ${entry.kind} ${id}`);
  for (const { notebook } of tablet.tabs) {
    // What another tab of this tablet wrote, and the hub refused, is in this book when the app is opened again.
    const its = [...held.values()].flatMap(({ entry }) =>
      due.has(entry.id) || notebook.book.entry(entry.id) ? [entry] : [],
    );
    if (stateHash(notebook.book) !== stateHash(fold(its)))
      witness.breaks(`the book on ${tablet.device} is in another state than the hub's`);
  }
}

/** The rule of cells, worked out once more: what nobody replaced, and of that the highest logical time. Wall clocks decide nothing. */
function marksStand(
  book: Scorebook,
  entries: readonly AnyEntry[],
  breaks: (what: string) => void,
): void {
  const marks = entries.filter((entry): entry is EntryOf<"mark"> => entry.kind === "mark");
  const cells = new Map<string, { entry: EntryOf<"mark">; level: unknown }[]>();
  for (const entry of marks) {
    const { section, item, side } = entry.body;
    for (const { candidate, criterion, level } of entry.body.cells) {
      const key = JSON.stringify([entry.by, candidate, section, item, side, criterion]);
      cells.set(key, [...(cells.get(key) ?? []), { entry, level }]);
    }
  }
  for (const [key, writes] of cells) {
    const [by, candidate, section, item, side, criterion] = JSON.parse(key);
    const replaced = new Set(writes.flatMap(({ entry }) => entry.replaces ?? []));
    const heads = writes.filter(
      ({ entry }) =>
        !replaced.has(entry.id) &&
        !writes.some((other) => other.entry.device === entry.device && other.entry.n > entry.n),
    );
    const [first] = heads.sort(
      (a, b) => b.entry.lamport - a.entry.lamport || (a.entry.device < b.entry.device ? 1 : -1),
    );
    const stands = first?.level === "cleared" ? undefined : first?.level;
    const said = book.marks.cell(by, candidate, { section, item, side, criterion })?.level;
    if (said !== stands) breaks(`the book says ${said} where ${stands} stands: ${key}`);
  }
}

/** The verdict of a candidate is the last that the chief wrote, word for word. */
function verdictsStand(
  book: Scorebook,
  entries: readonly AnyEntry[],
  breaks: (what: string) => void,
): void {
  const newest = new Map<string, EntryOf<"verdict">>();
  for (const entry of entries as EntryOf<"verdict">[]) {
    if (entry.kind !== "verdict") continue;
    const before = newest.get(entry.body.candidate);
    const isNewer =
      !before ||
      entry.lamport > before.lamport ||
      (entry.lamport === before.lamport && entry.device > before.device);
    if (isNewer) newest.set(entry.body.candidate, entry);
  }
  for (const { candidate } of book.plan.entrants) {
    const expected = newest.get(candidate);
    if (canonicalize(book.decisions.verdict(candidate)?.body) !== canonicalize(expected?.body))
      breaks(`the verdict of ${candidate} is not what the chief wrote last`);
  }
}
