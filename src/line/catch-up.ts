import { MAX_BATCH, MAX_FRAME_BYTES } from "./protocol.ts";

/** Room in a frame for what stands around the entries: their side records, the cursor, the frame's own words. */
const ROOM_BYTES = Math.floor(MAX_FRAME_BYTES / 2);

/**
 * Cuts a long list into pieces that each fit one frame, in order: at most `MAX_BATCH` things and half a frame of bytes.
 * A single thing above that travels alone; whether it fits is the other side's to say.
 *
 * @param options  `countOf`: for how many a thing counts; a line with two names beside it for two, since those are bounded in a frame as lines are

 * @example
 * inBatches(["a", "b", "c"], () => 1, { most: 2 }); // => [["a", "b"], ["c"]]
 */
export function inBatches<T>(
  things: readonly T[],
  bytesOf: (thing: T) => number,
  {
    most = MAX_BATCH,
    bytes = ROOM_BYTES,
    countOf = () => 1,
  }: { most?: number; bytes?: number; countOf?: (thing: T) => number } = {},
): T[][] {
  const batches: T[][] = [];
  let batch: T[] = [];
  let [size, count] = [0, 0];
  for (const thing of things) {
    const [weight, counts] = [bytesOf(thing), countOf(thing)];
    if (batch.length > 0 && (count + counts > most || size + weight > bytes)) {
      batches.push(batch);
      batch = [];
      [size, count] = [0, 0];
    }
    batch.push(thing);
    size += weight;
    count += counts;
  }
  if (batch.length > 0) batches.push(batch);
  return batches;
}

/** How many bytes a text has on the line: a letter may have up to three. */
export const bytesIn = (text: string): number => encoder.encode(text).length;
const encoder = new TextEncoder();
