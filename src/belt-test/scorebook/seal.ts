import type { Basis } from "../../book/counts.ts";
import { byAge, type Stamp } from "../../book/order.ts";
import { type Write, writeThatStands } from "./cell.ts";

/** A lock, or what the hub held for one that never came: what was in is final, what came later is late. */
export interface Sealing extends Stamp {
  basis: Basis;
}

/**
 * What a judge's word on one child's section is final about.
 * One basis as a rule. Several where two locks got in that did not know each other (a hub put back from a copy, files that were merged):
 * then only what stands the same in each of them counts, until the chief says otherwise.
 */
export type Seal = readonly [Basis, ...Basis[]];

export const isIn = (basis: Basis, { device, n }: Pick<Stamp, "device" | "n">): boolean =>
  n <= ((basis as Record<string, number>)[device] ?? 0);

/**
 * The seal of one judge on one child's section. Whether a write is inside is decided by the bases alone, never by logical time,
 * which whoever writes it may choose.
 *
 * @param locks  the judge's own, in any order
 * @param held  what the hub held of the judge when the chief opened the section or gave the place to another: from then on no lock of theirs changes what stood.
 *   Where it spoke more than once (a second chief had opened the same marks, and is heard later), only what it held each time
 * @returns undefined where nothing is final yet
 */
export function sealOf(locks: readonly Sealing[], held: readonly Sealing[]): Seal | undefined {
  const [first, ...more] = [...held].sort(byAge);
  if (!first) return asSeal(locks);
  const basis = more.reduce((known, one) => inBoth(known, one.basis), first.basis);
  return asSeal(locks.filter((lock) => isIn(basis, lock))) ?? [basis];
}

const inBoth = (one: Basis, other: Basis): Basis =>
  Object.fromEntries(
    Object.entries(one).flatMap(([count, n]) => {
      const both = Math.min(n, (other as Record<string, number>)[count] ?? 0);
      return both > 0 ? [[count, both]] : [];
    }),
  ) as Basis;

const asSeal = (locks: readonly Sealing[]): Seal | undefined => {
  const [first, ...more] = [...locks].sort(byAge).map(({ basis }) => basis);
  return first && [first, ...more];
};

/** The writes of one cell that a seal makes final; none where two locks say different things of it. */
export function sealed(seal: Seal, writes: readonly Write[]): Write[] {
  const [basis, ...others] = seal;
  const known = writes.filter((write) => isIn(basis, write));
  if (others.length === 0) return known;
  const stands = writeThatStands(known);
  const isTheSame = others.every(
    (other) =>
      writeThatStands(writes.filter((write) => isIn(other, write)))?.level === stands?.level,
  );
  return stands && isTheSame ? [stands] : [];
}
