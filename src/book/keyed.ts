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

/** Keeps `list` oldest first. Entries nearly always come in order, so the search starts at the end. */
export function insertByAge<T extends Stamp>(list: T[], entry: T): void {
  let place = list.length;
  while (place > 0 && byAge(list[place - 1] as T, entry) > 0) place--;
  list.splice(place, 0, entry);
}
