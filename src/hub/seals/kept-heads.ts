import type { GradingId } from "../../book/identity.ts";
import { SignedHead } from "../../book/signed-head.ts";
import type { DoorTables } from "../../ports/door-tables.ts";

/** Each head is one setting, named by what it says: the table that every store keeps. */
const NAME = "head/";

/** Keeps heads that came in with a file, this hub's own and others': what was signed once must be on that record for ever. */
export async function keepHeads(door: DoorTables, heads: readonly SignedHead[]): Promise<void> {
  for (const head of heads) {
    const { grading, seq, chain, key } = head;
    await door.settleSetting(`${NAME}${grading}/${seq}/${chain}/${key}`, JSON.stringify(head));
  }
}

/** The kept heads of one test, oldest first; without it, of all. */
export async function keptHeads(door: DoorTables, grading?: GradingId): Promise<SignedHead[]> {
  const found = await door.settings(grading ? `${NAME}${grading}/` : NAME);
  return found
    .map(({ value }) => SignedHead.parse(JSON.parse(value)))
    .sort((a, b) => a.seq - b.seq);
}
