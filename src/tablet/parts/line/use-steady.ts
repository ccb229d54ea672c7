import { useCallback, useLayoutEffect, useRef } from "react";

/** One function for as long as the part stands, which does what the last render's would. Not to be called while rendering. */
export function useSteadyCall<Given extends unknown[], Result>(
  call: (...given: Given) => Result,
): (...given: Given) => Result {
  const latest = useRef(call);
  useLayoutEffect(() => {
    latest.current = call;
  });
  return useCallback((...given: Given) => latest.current(...given), []);
}

/** Objects of plain values: those of the last render where they say the same, so that only what changed is drawn again. */
export function useSteadyList<T extends object>(list: readonly T[]): readonly T[] {
  const last = useRef(list);
  last.current = steadyList(last.current, list);
  return last.current;
}

/** The same for a table, row by row. */
export function useSteadyTable<T extends object>(
  table: readonly (readonly T[])[],
): readonly (readonly T[])[] {
  const last = useRef(table);
  const next = table.map((list, index) => steadyList(last.current[index] ?? [], list));
  if (!isSameList(last.current, next)) last.current = next;
  return last.current;
}

function steadyList<T extends object>(before: readonly T[], now: readonly T[]): readonly T[] {
  const next = now.map((value, index) => {
    const old = before[index];
    return old !== undefined && isSameObject(old, value) ? old : value;
  });
  return isSameList(before, next) ? before : next;
}

const isSameList = (a: readonly unknown[], b: readonly unknown[]): boolean =>
  a.length === b.length && a.every((value, index) => value === b[index]);

function isSameObject(a: object, b: object): boolean {
  const [one, other] = [Object.entries(a), new Map(Object.entries(b))];
  return (
    one.length === other.size &&
    one.every(([key, value]) => other.has(key) && Object.is(value, other.get(key)))
  );
}
