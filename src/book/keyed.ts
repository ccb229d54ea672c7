import { byAge, History, Newest, type Stamp } from "./order.ts";

/** What is kept under a key, made when it is first asked for. */
export function keyed<K, T>(map: Map<K, T>, key: K, made: () => T): T {
  let kept = map.get(key);
  if (kept === undefined) map.set(key, (kept = made()));
  return kept;
}

export const listOf = <K, T>(map: Map<K, T[]>, key: K): T[] => keyed(map, key, () => []);

export const historyOf = <K, T>(map: Map<K, History<T>>, key: K): History<T> =>
  keyed(map, key, () => new History<T>());

export const newestOf = <K, T>(map: Map<K, Newest<T>>, key: K): Newest<T> =>
  keyed(map, key, () => new Newest<T>());

/** Keeps `list` oldest first. Entries nearly always come in order, so the end is looked at first; else half of what is left goes each time, however old a writer says to be. */
export function insertByAge<T extends Stamp>(list: T[], entry: T): void {
  let [from, to] = [0, list.length];
  for (let at = to - 1; from < to; at = (from + to) >> 1)
    if (byAge(list[at] as T, entry) > 0) to = at;
    else from = at + 1;
  list.splice(to, 0, entry);
}
