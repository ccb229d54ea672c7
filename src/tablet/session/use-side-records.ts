import type { TextRef } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import { makeSideRecord } from "../../line/make-side-record.ts";
import { useServices, useSession } from "./services.tsx";

/** Makes the erasable record for words that name or describe a person, and the reference an entry carries. */
export function useSideRecords(): (
  about: SideRecord["about"],
  kind: SideRecord["kind"],
  body: Record<string, unknown>,
) => { ref: TextRef; record: SideRecord } {
  const { random } = useServices();
  const { grading } = useSession().notebook.pass;
  return (about, kind, body) => makeSideRecord({ grading, about, kind, body }, { random });
}
