import { expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { lockBody } from "../../../src/belt-test/scorebook/judge-view.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { Author } from "../../../src/hub/test-room/author.ts";
import { GradingRoom } from "../../../src/hub/test-room/grading-room.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aTestDay, type TestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

const [blocks, etiquette] = ["blocks", "etiquette"] as unknown as [SectionId, SectionId];
const mia = "candidate-1" as CandidateId;
const { ref, record } = makeSideRecord(
  { grading: aGradingId, about: mia, kind: "text", body: { text: "The other rubric." } },
  { random: (bytes) => new Uint8Array(bytes) },
);

/** A chief taps another rubric for a child while a judge, who has not heard of it, marks by the first and locks. */
async function aWrongRubric() {
  const rubric = aRubric();
  const [section] = rubric.sections;
  if (!section) throw new Error("a section");
  const other = aRubric({
    id: anId("other-rubric"),
    sections: [{ ...section, items: section.items.slice(0, 1) }],
  });
  const day = aTestDay({ judges: 1, candidates: 1, rubric });
  const [judge] = day.judges as [TestDay["judges"][number]];
  const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
  const { chief } = day;
  const asChief: Author = { person: anId("chief"), roles: ["chief"], device: chief.device };
  const asJudge: Author = { person: judge.person, roles: ["judge"], device: judge.pen.device };
  const says = async (who: Author, lines: readonly AnyEntry[]) =>
    (await room.handIn(who, lines, [record])).refused.map(({ fault }) => fault.code);
  const enters = (its: string) =>
    chief.write("entered", { candidate: mia, number: 1, rubric: anId(its), reason: ref });
  await says(asChief, [...day.plan, chief.write("frozen", { rubric: other }) as AnyEntry]);
  const known = [...room.book.entries()];
  await says(asChief, [enters(other.id) as AnyEntry]);
  judge.pen.hear(room.book.lamport + 5);
  const words = { blocks: aLock(judge, blocks, [mia], known) };
  const more = { etiquette: aLock(judge, etiquette, [mia], [...known, ...words.blocks]) };
  const rightAgain = () => says(asChief, [enters(rubric.id) as AnyEntry]);
  return { room, judge, says, asJudge, words: { ...words, ...more }, rightAgain };
}
const isLocked = ({ book }: GradingRoom, section: SectionId) =>
  book.openings.hasLocked(anId("judge-1"), mia, section);

it("[H169] takes no lock over marks that wait for another rubric, and takes both when the child has it again", async () => {
  const { room, says, asJudge, words, rightAgain } = await aWrongRubric();
  for (const lines of [words.blocks, words.etiquette]) {
    const refused = await says(asJudge, lines);
    expect(refused.length).toBeGreaterThan(1);
    expect(new Set(refused)).toEqual(new Set(["ITEM_UNKNOWN"]));
  }
  expect([isLocked(room, blocks), isLocked(room, etiquette)]).toEqual([false, false]);
  // Offered again by itself, as often as something new is heard.
  expect((await says(asJudge, words.blocks)).length).toBeGreaterThan(1);
  await rightAgain();
  for (const lines of [words.blocks, words.etiquette])
    expect(await says(asJudge, lines)).toEqual([]);
  expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
  const marked = fold([...words.blocks, ...words.etiquette].filter(({ kind }) => kind === "mark"));
  expect(room.book.marks.of(mia, "lock").length).toBe(marked.marks.of(mia, "now").length);
});

it("[H169] takes the lock of a judge who has heard of the rubric, and locks what it asks for", async () => {
  const { room, judge, says, asJudge, words } = await aWrongRubric();
  await says(asJudge, words.blocks);
  expect(isLocked(room, blocks)).toBe(false);
  judge.pen.hear(room.book.lamport);
  // By what this judge has marked, and the hub has heard.
  const held = fold([...room.book.entries(), ...words.blocks.slice(0, -1)]);
  const anew = judge.pen.write("locked", lockBody(held, judge.person, blocks, mia));
  const basis = { [anew.device]: anew.n - 1 };
  expect(await says(asJudge, [{ ...anew, body: { ...anew.body, basis } } as AnyEntry])).toEqual([]);
  expect(isLocked(room, blocks)).toBe(true);
});

/** A judge without a line swaps two lanes and locks on, while the chief moves one of the two to another wave. */
async function aSwapInVain() {
  const day = aTestDay({ judges: 1, candidates: 3 });
  const [judge] = day.judges as [TestDay["judges"][number]];
  const [, ben, ida] = day.candidates as [CandidateId, CandidateId, CandidateId];
  const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
  const { chief } = day;
  const asChief: Author = { person: anId("chief"), roles: ["chief"], device: chief.device };
  const asJudge: Author = { person: judge.person, roles: ["judge"], device: judge.pen.device };
  const says = async (who: Author, lines: readonly AnyEntry[]) =>
    (await room.handIn(who, lines)).refused.map(({ fault }) => fault.code);
  await says(asChief, day.plan);
  const known = [...room.book.entries()];
  const swap = judge.pen.write("lanes-swapped", { wave: 1, candidates: [ben, ida] }) as AnyEntry;
  const locks = (candidate: CandidateId, section = blocks) => {
    const lines = aLock(judge, section, [candidate], [...known, swap]) as AnyEntry[];
    known.push(...lines);
    return lines;
  };
  const lines = [swap, ...locks(mia), ...locks(ben, etiquette), ...locks(ben)];
  const waves = [
    chief.write("lined-up", { wave: 1, lanes: [mia, ben] }),
    chief.write("lined-up", { wave: 2, lanes: [ida] }),
  ];
  expect(await says(asChief, waves as AnyEntry[])).toEqual([]);
  return { room, judge, ben, lines, says: (more: readonly AnyEntry[]) => says(asJudge, more) };
}

it("[H170] takes the locks of other children where two lanes could not be swapped, and those of the two when they are locked anew", async () => {
  const { room, judge, ben, lines, says } = await aSwapInVain();
  expect(await says(lines)).toEqual(["LANE_OTHER", "LANE_OTHER", "LANE_OTHER"]);
  const isLockedOf = (candidate: CandidateId, section = blocks) =>
    room.book.openings.hasLocked(judge.person, candidate, section);
  expect([isLockedOf(mia), isLockedOf(ben), isLockedOf(ben, etiquette)]).toEqual([
    true,
    false,
    false,
  ]);
  // Each section has a count of its own, of which the one may be far behind the other.
  for (const section of [blocks, etiquette]) {
    const held = fold([...room.book.entries()]);
    judge.pen.hear(held.lamport);
    const anew = judge.pen.write("locked", lockBody(held, judge.person, section, ben));
    const basis = { ...anew.body.basis, [anew.device]: anew.n - 1 };
    expect(await says([{ ...anew, body: { ...anew.body, basis } } as AnyEntry])).toEqual([]);
    expect(isLockedOf(ben, section)).toBe(true);
  }
});

it("[H171] takes no lock that was refused once its judge has marked on, and the judge's own", async () => {
  const { room, judge, ben, lines, says } = await aSwapInVain();
  await says(lines);
  const old = lines.at(-1) as AnyEntry;
  const place = { section: blocks, item: anId("rising-block"), side: "left" as const };
  const cells = [{ candidate: ben, criterion: anId("chamber"), level: 1, how: "tapped" as const }];
  const mark = judge.pen.write("mark", { ...place, cells }) as AnyEntry;
  // Off the line: the tablet offers both, the lock first.
  expect(await says([old, mark])).toEqual(["LANE_OTHER"]);
  expect(await says([old])).toEqual(["LANE_OTHER"]);
  const held = fold([...room.book.entries()]);
  judge.pen.hear(held.lamport);
  const anew = judge.pen.write("locked", lockBody(held, judge.person, blocks, ben)) as AnyEntry;
  expect(await says([anew])).toEqual([]);
  const counted = room.book.marks.of(ben, "lock").find((one) => one.criterion === "chamber");
  expect(counted?.level).toBe(1);
});
