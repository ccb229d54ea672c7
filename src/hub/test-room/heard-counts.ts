import type { Writer } from "../../belt-test/permit/writer.ts";
import type { PersonId } from "../../book/identity.ts";
import { highestTaken } from "../../book/lamport-leap.ts";

/**
 * How far logical time has gone by what tablets say they have heard: the book may be an older copy, which lacks what took time there,
 * and whoever wrote that may not hand it in again. A chief is believed; of the others what two persons have heard. Not kept: it is said at every hello.
 */
export class HeardCounts {
  #ofChief = 0;
  #shouted = 0;
  readonly #ofOthers = new Map<PersonId, number>();

  /** @param book  logical time of the book */
  says({ person, roles }: Writer, lamport: number, book: number): void {
    if (roles.includes("chief")) {
      if (lamport <= highestTaken(book, "chief")) this.#ofChief = Math.max(this.#ofChief, lamport);
    } else if (lamport <= highestTaken(book, "anyone"))
      this.#ofOthers.set(person, Math.max(this.#ofOthers.get(person) ?? 0, lamport));
  }
  /** What was told to everybody is nobody's leap, also where it is never kept. */
  wasShouted(lamport: number): void {
    this.#shouted = Math.max(this.#shouted, lamport);
  }
  /** What no liar alone has said. */
  get believed(): number {
    const [, second = 0] = [...this.#ofOthers.values()].sort((a, b) => b - a);
    return Math.max(this.#ofChief, second);
  }
  /** What whoever was told of it may have counted to. */
  get told(): number {
    return Math.max(this.believed, this.#shouted);
  }
}
