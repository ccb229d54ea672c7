import { listOf } from "./keyed.ts";

/** Of each count the places that somebody else spoke of before this book held them: nobody vouches for what is their own. */
export class Awaited {
  readonly #of = new Map<string, { by: string; after: number; upTo: number }[]>();

  /** @param said  how far counts had come for whoever wrote it  @param countOf  how far they have come here */
  note(
    said: Readonly<Record<string, number>>,
    by: string,
    countOf: (count: string) => number,
  ): void {
    for (const [count, upTo] of Object.entries(said)) {
      const after = countOf(count);
      if (upTo > after) listOf(this.#of, count).push({ by, after, upTo });
    }
  }
  has({ device, n, by }: { device: string; n: number; by: string }): boolean {
    const said = this.#of.get(device);
    return said?.some((one) => one.by !== by && n > one.after && n <= one.upTo) ?? false;
  }
}
