import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import { isOfVouchingForm, isVouchedEntry } from "../../book/vouched-id.ts";
import { isKnown } from "../scorebook/entry.ts";
import { isOutOfTurn } from "../scorebook/out-of-turn.ts";
import { rulesOf } from "../scorebook/rules.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

/**
 * Why an entry is not taken under its id: another's line, of which somebody had heard before it was kept, would find its place taken.
 * Books of before take ids that vouch for nothing, and no more than that.
 */
export function refusalOfId(book: Scorebook, entry: AnyEntry): Fault | null {
  const opens = isKnown(entry) && entry.kind === "opened" ? entry.body : undefined;
  const rules = opens ? rulesOf(opens.rules) : book.plan.rules;
  // A stop is never refused for its id: an app of before may have written it, and under an id of that form it takes nobody's place.
  const isAsked = (rules >= 3 && !isOutOfTurn(entry)) || isOfVouchingForm(entry.id);
  if (isAsked && !isVouchedEntry(entry)) return { code: "ID_UNVOUCHED", with: { id: entry.id } };
  // By other rules what stands would not stand.
  return opens && book.plan.opened && rules !== book.plan.rules
    ? { code: "ENTRY_MALFORMED", with: { path: "body.rules", detail: "not what this book says" } }
    : null;
}
