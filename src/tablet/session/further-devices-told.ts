import { type LetIn, letInsToTell } from "../../belt-test/scorebook/let-ins.ts";
import type { DeviceId, EntryId } from "../../book/identity.ts";
import type { Notebook } from "./notebook.ts";

/** Further devices that came in under this person's name, and of which they said nothing here yet. */
export function furtherDevicesToTell({ book, pass, news }: Notebook): LetIn[] {
  const { person, knownLetIns } = pass;
  if (!person) return [];
  return letInsToTell(book, person, knownLetIns).filter(
    ({ device, agreed }) => !(agreed && news.saidTheirs?.includes(device)),
  );
}

/** Said yes to just now: the word of it that comes back need not be asked about. */
export const saidItIsTheirs = (notebook: Notebook, device: DeviceId): void =>
  notebook.heardNews({ saidTheirs: [...(notebook.news.saidTheirs ?? []), device] });

export const knowsLetIn = (notebook: Notebook, id: EntryId): Promise<void> =>
  notebook.notes((pass) => ({ ...pass, knownLetIns: [...(pass.knownLetIns ?? []), id] }));
