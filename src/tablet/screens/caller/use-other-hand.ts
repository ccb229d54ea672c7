import { useRef } from "react";
import type { EntryOf } from "../../../belt-test/scorebook/entry.ts";
import { deviceOf } from "../../../book/counts.ts";
import type { Notebook } from "../../session/notebook.ts";

type Call = EntryOf<"called">;
/** `moved`: a call from another device took the place of this one's own on the glass. `passed`: one that was not known here came in, and the own is the newer. */
type OtherHand = { what: "moved"; call: Call; own: Call } | { what: "passed"; call: Call };

/** What somebody who calls here is to know of who else calls; undefined until somebody does, and once they call again themselves. */
export function useOtherHand({ book, pass }: Notebook): OtherHand | undefined {
  const seen = useRef<{ newest?: Call; other?: Call; said?: OtherHand }>(undefined);
  const isOwn = ({ device }: Call) => deviceOf(device) === pass.device;
  const { calls } = book.floor;
  const newest = calls.at(-1);
  const own = calls.findLast(isOwn);
  const other = calls.findLast((call) => !isOwn(call));
  const before = seen.current;
  const isAsBefore = newest?.id === before?.newest?.id && other?.id === before?.other?.id;
  if (!before || !isAsBefore) {
    const isMoved = before?.newest?.id === own?.id || before?.said?.what === "moved";
    const said: OtherHand | undefined =
      !before || !newest || !own || !other
        ? undefined
        : newest === other
          ? isMoved
            ? { what: "moved", call: other, own }
            : undefined
          : newest.id === before.newest?.id
            ? { what: "passed", call: other }
            : undefined;
    seen.current = {
      ...(newest && { newest }),
      ...(other && { other }),
      ...(said && { said }),
    };
  }
  return seen.current?.said;
}
