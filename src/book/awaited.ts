import { listOf } from "./keyed.ts";

/** Of each count the places that somebody spoke of before this book held them. */
export class Awaited {
  readonly #of = new Map<string, { after: number; upTo: number }[]>();

  /** @param said  how far counts had come for whoever wrote it  @param countOf  how far they have come here */
  note(said: Readonly<Record<string, number>>, countOf: (count: string) => number): void {
    for (const [count, upTo] of Object.entries(said)) {
      const after = countOf(count);
      if (upTo > after) listOf(this.#of, count).push({ after, upTo });
    }
  }
  has({ device, n }: { device: string; n: number }): boolean {
    return this.#of.get(device)?.some(({ after, upTo }) => n > after && n <= upTo) ?? false;
  }
}
