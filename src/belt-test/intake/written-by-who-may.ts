import type { AnyEntry } from "../../book/entry.ts";
import { refusal } from "../permit/refusal.ts";
import { fold } from "../scorebook/scorebook.ts";
import { rolesInFile } from "./roles-in-file.ts";

/**
 * Whether every line of a pack is one that its writer may write, by the plan that the pack itself tells: whoever opened the test is its chief.
 * @param entries  in the order of the pack.
 */
export function isWrittenByWhoMay(entries: readonly AnyEntry[]): boolean {
  const book = fold([]);
  const opener = entries.find(({ kind }) => kind === "opened")?.by;
  return entries.every((entry) => {
    const { by } = entry;
    // Whoever judged once may have handed in later what they wrote then.
    const roles = new Set(rolesInFile(book, by));
    if (by === opener) roles.add("chief");
    const code = refusal(book, { person: by, roles: [...roles] }, entry)?.code;
    book.add(entry);
    return code !== "ROLE_MISSING" && code !== "NOT_YOURS";
  });
}
