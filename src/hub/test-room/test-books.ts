import * as z from "zod/mini";
import { Role } from "../../belt-test/kinds/body-parts.ts";
import { titleKinds } from "../../belt-test/scorebook/title-page.ts";
import type { StoredBooks } from "../store/stored-books.ts";

const Roles = z.array(Role);

/** What a store is told of belt tests. */
export const testBooks: StoredBooks = {
  titleKinds,
  rolesIn: (json) => Roles.safeParse(json).data ?? [],
};
