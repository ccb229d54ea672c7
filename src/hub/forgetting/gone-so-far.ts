import { createHash } from "node:crypto";
import type { GradingId } from "../../book/identity.ts";
import type { ErasedLog } from "../store/erased-log.ts";

type Who = { grading: GradingId; about: string };
const keyOf = ({ grading, about }: Who): string => JSON.stringify([grading, about]);

/**
 * Who is noted as erased and is out of the store too, as one word. It is another one after every erasing, so that it tells copies from before and from after
 * apart where no clock can.
 */
export class GoneSoFar {
  readonly #log: Pick<ErasedLog, "all" | "devices">;
  /** Noted, and in the store still. */
  readonly #waiting: Set<string>;

  /** @param waiting  who was noted before and could not go yet */
  constructor(log: Pick<ErasedLog, "all" | "devices">, waiting: readonly Who[] = []) {
    this.#log = log;
    this.#waiting = new Set(waiting.map(keyOf));
  }

  /** They are noted; copies that are begun from now on hold them still. */
  waits(who: Who): void {
    this.#waiting.add(keyOf(who));
  }
  /** They are out of the store. @returns false for somebody who was so before */
  went(who: Who): boolean {
    return this.#waiting.delete(keyOf(who));
  }

  /** Eight hexadecimal digits; "" where nobody is gone. */
  get word(): string {
    const people = this.#log.all().map(keyOf);
    const gone = [
      ...people.filter((key) => !this.#waiting.has(key)),
      ...this.#log.devices().map(({ grading, device }) => JSON.stringify([grading, "", device])),
    ];
    if (gone.length === 0) return "";
    return createHash("sha256").update(gone.sort().join("\n")).digest("hex").slice(0, 8);
  }
}
