import type { PersonId } from "../../core/identity.ts";
import type { Basis } from "../../core/scorebook/entry.ts";
import type { Notebook } from "./notebook.ts";

/** Without a hub this device says itself what it holds of a judge at this moment; with one the hub does, which alone holds closed marks. */
export function heldWithoutHub({ book, pass }: Notebook, judge: PersonId): { basis?: Basis } {
  if (pass.token) return {};
  const basis: Record<string, number> = {};
  for (const { by, device, n } of book.entries())
    if (by === judge) basis[device] = Math.max(basis[device] ?? 0, n);
  return { basis: basis as Basis };
}
