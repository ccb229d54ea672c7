import { type ChiefsWord, firstOf } from "../belt-test/intake/chiefs-word.ts";

/** What was taken of one file, and how many lines of its own person wait for others'. */
export interface Turn {
  added: number;
  waiting: number;
}

/**
 * Takes files that rest on each other: in this order, and after each that brought something the earlier ones of which lines were not taken once more, until
 * nothing more comes. On the road a chief decides on what others wrote, and others mark by what the chief said of the plan.
 *
 * @param take  asked of one file as often as that may help; each time that brings something there is less left, so it ends
 */
export async function takeInTurn<File>(
  files: readonly File[],
  take: (file: File) => Promise<Turn>,
): Promise<void> {
  const untried = new Set(files);
  const waiting = new Set<File>();
  for (;;) {
    const next = files.find((file) => untried.has(file));
    if (next === undefined) return;
    untried.delete(next);
    const turn = await take(next);
    if (turn.waiting > 0) waiting.add(next);
    else waiting.delete(next);
    if (turn.added > 0) for (const file of waiting) if (file !== next) untried.add(file);
  }
}

/**
 * The files of one test that has a hub, and whose chief took files while it was away: what the chief's device wrote before it heard of any of that; then of the
 * others what it had; then what it wrote by it, and the rest. So each line is judged by what its writer had, as it would have been over the line.
 *
 * @param only  of a file these lines; all of them where it is undefined
 */
export async function takeByHub<File, Line>(
  files: readonly File[],
  chiefs: File,
  { isBefore, had }: Record<"isBefore" | "had", (line: Line) => boolean>,
  take: (file: File, only?: (line: Line) => boolean) => Promise<Turn>,
): Promise<void> {
  const others = files.filter((file) => file !== chiefs);
  await take(chiefs, isBefore);
  await takeInTurn(others, (file) => take(file, had));
  await takeInTurn([chiefs, ...others], (file) => take(file));
}

/** The files of one test: first what the chief's device took, by whatever rule; what it had not heard of is judged by all of that. Without its word, as they come. */
export async function takeTogether<File>(
  files: readonly File[],
  word: ChiefsWord | undefined,
  take: (file: File, word: ChiefsWord | undefined) => Promise<Turn>,
): Promise<void> {
  for (const said of word ? [firstOf(word), word] : [undefined])
    await takeInTurn(files, (file) => take(file, said));
}
