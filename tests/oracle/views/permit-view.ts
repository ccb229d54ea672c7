import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { Dice } from "../../world/dice.ts";
import type { OracleBook } from "../oracle-book.ts";
import type { ReadBook } from "./read-book.ts";

const ROLES: readonly Role[] = ["chief", "judge", "caller", "desk"];

/**
 * What `refusal` answers to every line, asked before the line is added whatever the answer: in the hub's own order, by each role,
 * and by whoever wrote it in an order in which devices are heard by chance, so that much comes too early, too late, or after the plan has changed.
 */
export function permitView({ number, people }: OracleBook, { entries }: ReadBook): string {
  const rolesOf = ({ by }: AnyEntry) => people.find(({ person }) => person === by)?.roles ?? [];
  const answers: string[] = [];
  const own = new Scorebook();
  for (const entry of entries) {
    const byRoles = [rolesOf(entry), ...ROLES.map((role) => [role])].map((roles) =>
      answer(own, entry, roles),
    );
    answers.push(`${entry.kind} ${entry.id}: ${byRoles.join(" | ")}`);
    own.add(entry);
  }
  const other = new Scorebook();
  for (const entry of shuffled(entries, new Dice(number, "another order"))) {
    answers.push(`then ${entry.kind} ${entry.id}: ${answer(other, entry, rolesOf(entry))}`);
    other.add(entry);
  }
  return answers.join("\n");
}

function answer(book: Scorebook, entry: AnyEntry, roles: readonly Role[]): string {
  const fault = refusal(book, { person: entry.by, roles, mayComeAgain: true }, entry);
  return fault ? JSON.stringify(fault) : "-";
}

/** Each device's lines in their order; which device is heard next is chance, a few lines at a time. The plan comes first, or everything would be refused for want of it. */
function shuffled(entries: readonly AnyEntry[], dice: Dice): AnyEntry[] {
  const started = entries.findIndex(({ kind }) => kind === "started") + 1;
  const waiting = new Map<string, AnyEntry[]>();
  for (const entry of entries.slice(started))
    waiting.set(entry.device, [...(waiting.get(entry.device) ?? []), entry]);
  const heard = entries.slice(0, started);
  while (waiting.size > 0) {
    const device = dice.pick([...waiting.keys()]);
    const lines = waiting.get(device) ?? [];
    heard.push(...lines.splice(0, dice.whole(1, 12)));
    if (lines.length === 0) waiting.delete(device);
  }
  return heard;
}
