import type { EntryId, GradingId, SideRecordId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import type { StoredEntry } from "../../src/book/stored-entry.ts";
import { canonicalText, entryDigest, FIRST_LINK, nextLink } from "../../src/hub/store/chain.ts";
import type { Appended, ScorebookStore } from "../../src/ports/scorebook-store.ts";

interface Shelf {
  entries: StoredEntry[];
  texts: Map<EntryId, string>;
  places: Set<string>;
  sides: Map<SideRecordId, SideRecord>;
}

/** Scorebooks that live as long as the process: for the tests, which it spares a disk. */
export function openMemoryScorebook(makeSalt: () => string = () => "0".repeat(32)): ScorebookStore {
  const shelves = new Map<GradingId, Shelf>();
  const shelfOf = (grading: GradingId): Shelf => {
    let shelf = shelves.get(grading);
    if (!shelf) {
      shelf = { entries: [], texts: new Map(), places: new Set(), sides: new Map() };
      shelves.set(grading, shelf);
    }
    return shelf;
  };

  return {
    async append(grading, offered, offeredSides = [], read = undefined) {
      const shelf = shelfOf(grading);
      const news = read ? shelf.entries.slice(read.place) : [];
      const { entries, sides } =
        read && news.length > 0
          ? read.decideAgain(news, [...shelf.sides.values()])
          : { entries: offered, sides: offeredSides };
      const appended: Appended = { added: [], known: [], refused: [] };
      for (const entry of entries) {
        const { id, device, n } = entry;
        const text = canonicalText(entry);
        const seen = shelf.texts.get(id);
        const place = `${device}/${n}`;
        if (seen === text) appended.known.push(id);
        else if (seen !== undefined)
          appended.refused.push({ id, fault: { code: "ID_REUSED", with: { id } } });
        else if (shelf.places.has(place))
          appended.refused.push({ id, fault: { code: "N_REUSED", with: { device, n } } });
        else {
          const previous = shelf.entries.at(-1)?.chain ?? FIRST_LINK;
          const chain = nextLink(previous, entryDigest(makeSalt(), text));
          const stored = { entry, seq: shelf.entries.length + 1, chain };
          shelf.entries.push(stored);
          shelf.texts.set(id, text);
          shelf.places.add(place);
          appended.added.push(stored);
        }
      }
      for (const side of sides) if (!shelf.sides.has(side.id)) shelf.sides.set(side.id, side);
      return appended;
    },
    async read(grading, since, limit) {
      const entries = shelves.get(grading)?.entries ?? [];
      return entries.slice(since, limit === undefined ? undefined : since + limit);
    },
    async sides(grading) {
      return [...(shelves.get(grading)?.sides.values() ?? [])];
    },
    async erase(grading, about, misfiled = []) {
      const sides = shelves.get(grading)?.sides ?? new Map<SideRecordId, SideRecord>();
      const gone = [...sides.values()].filter(
        ({ id, about: whose }) => whose === about || misfiled.includes(id),
      );
      for (const { id } of gone) sides.delete(id);
      return gone.length;
    },
    async gradings() {
      return [...shelves].map(([grading, { entries }]) => ({ grading, entries: entries.length }));
    },
    async close() {},
  };
}
