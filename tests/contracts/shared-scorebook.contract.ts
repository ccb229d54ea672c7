import { afterEach, beforeEach, expect, it } from "vitest";
import type { StoredEntry } from "../../src/book/stored-entry.ts";
import type { ScorebookStore } from "../../src/ports/scorebook-store.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aMark } from "../builders/a-test-day.ts";

/** What a hub's store promises besides, where several may write to it. `open` gives an empty one. */
export function itKeepsTheSharedScorebookContract(
  open: () => ScorebookStore | Promise<ScorebookStore>,
): void {
  let book: ScorebookStore;
  beforeEach(async () => {
    book = await open();
  });
  afterEach(() => book.close());

  it("[L16] writes nothing that was decided by an old book: hands over what others wrote and asks again", async () => {
    const pen = aPen("judge-1");
    const [first, theirs, mine, instead] = [aMark(pen), aMark(pen), aMark(pen), aMark(pen)];
    await book.append(aGradingId, [first]);
    const place = (await book.read(aGradingId, 0))[0]?.seq ?? 0;
    await book.append(aGradingId, [theirs]);
    const handed: StoredEntry[] = [];
    const { added } = await book.append(aGradingId, [mine], [], {
      place,
      decideAgain(lines, sides) {
        handed.push(...lines);
        return { entries: [instead], sides };
      },
    });
    expect(handed.map(({ entry, seq }) => [entry.id, seq])).toEqual([[theirs.id, 2]]);
    expect(added.map(({ entry, seq }) => [entry.id, seq])).toEqual([[instead.id, 3]]);
    expect((await book.read(aGradingId, 0)).map(({ entry }) => entry.id)).toEqual([
      first.id,
      theirs.id,
      instead.id,
    ]);
  });

  it("[L16] asks nobody again whose book is up to date", async () => {
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen)]);
    const mine = aMark(pen);
    const { added } = await book.append(aGradingId, [mine], [], {
      place: 1,
      decideAgain: () => {
        throw new Error("asked again");
      },
    });
    expect(added.map(({ seq }) => seq)).toEqual([2]);
  });

  it("[L16] takes no for an answer", async () => {
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen)]);
    const decideAgain = () => ({ entries: [], sides: [] });
    const answer = await book.append(aGradingId, [aMark(pen)], [], { place: 0, decideAgain });
    expect(answer).toEqual({ added: [], known: [], refused: [] });
    expect(await book.read(aGradingId, 1)).toEqual([]);
  });
}
