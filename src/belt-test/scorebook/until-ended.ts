import type { EntryId } from "../../book/identity.ts";
import { insertByAge } from "../../book/keyed.ts";
import { byAge, Newest, type Stamp } from "../../book/order.ts";

export type Named = Stamp & { id: EntryId };

/**
 * What holds until somebody who knew of it ends it: a stop until the floor is clear, a withdrawal until the child is back. Whoever was off the line when
 * it was said ends nothing of it, however late their own count, whatever order the lines come in.
 * An end that names nothing is of an earlier version: it ends whatever is older than it.
 */
export class UntilEnded<One extends Named> {
  /** Oldest first. */
  readonly #begun: One[] = [];
  readonly #ended = new Set<EntryId>();
  readonly #endsOlder = new Newest<true>();
  #unended: readonly One[] | undefined;

  begin(one: One): void {
    insertByAge(this.#begun, one);
    this.#unended = undefined;
  }
  /** @param known  what its writer knew of and ends */
  end(stamp: Stamp, known: readonly EntryId[] | undefined): void {
    if (!known) this.#endsOlder.offer(true, stamp);
    for (const id of known ?? []) this.#ended.add(id);
    this.#unended = undefined;
  }
  isEnded(one: Named): boolean {
    const { stamp } = this.#endsOlder;
    return this.#ended.has(one.id) || (stamp !== undefined && byAge(one, stamp) < 0);
  }
  /** Oldest first. */
  get unended(): readonly One[] {
    return (this.#unended ??= this.#begun.filter((one) => !this.isEnded(one)));
  }
}
