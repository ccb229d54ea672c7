import { MAX_BATCH, MAX_FRAME_BYTES } from "./protocol.ts";

/** Room in a frame for what stands around the entries: their side records, the cursor, the frame's own words. */
const ROOM_BYTES = Math.floor(MAX_FRAME_BYTES / 2);

/**
 * Cuts a long list into pieces that each fit one frame, in order: at most `MAX_BATCH` things and half a frame of bytes.
 * A single thing above that travels alone; whether it fits is the other side's to say.
 *
 * @example
 * inBatches(["a", "b", "c"], () => 1, { most: 2 }); // => [["a", "b"], ["c"]]
 */
export function inBatches<T>(
  things: readonly T[],
  bytesOf: (thing: T) => number,
  { most = MAX_BATCH, bytes = ROOM_BYTES }: { most?: number; bytes?: number } = {},
): T[][] {
  const batches: T[][] = [];
  let batch: T[] = [];
  let size = 0;
  for (const thing of things) {
    const weight = bytesOf(thing);
    if (batch.length > 0 && (batch.length >= most || size + weight > bytes)) {
      batches.push(batch);
      batch = [];
      size = 0;
    }
    batch.push(thing);
    size += weight;
  }
  if (batch.length > 0) batches.push(batch);
  return batches;
}
