import { disjoint } from "../../book/disjoint.ts";
import type { Fault } from "../../book/faults.ts";
import type { allKinds } from "../kinds/all-kinds.ts";
import type { Entry } from "../scorebook/entry.ts";
import { anyoneRefusals } from "./anyone.ts";
import { callRefusals } from "./call.ts";
import { decisionRefusals } from "./decision.ts";
import { deskRefusals } from "./desk.ts";
import { judgeRefusals } from "./judge.ts";
import { planRefusals } from "./plan.ts";
import type { Asked, RefusalsOf } from "./refusals.ts";
import { standardRefusals } from "./standards.ts";

/** The compiler asks for every kind, and each file for those of the file of its name. */
const allRefusals: RefusalsOf<typeof allKinds> = disjoint(
  planRefusals,
  deskRefusals,
  callRefusals,
  judgeRefusals,
  anyoneRefusals,
  decisionRefusals,
  standardRefusals,
);

/** What refuses this entry by what it says. */
export const refusalOfBody = (asked: Asked, entry: Entry): Fault | null =>
  (allRefusals[entry.kind] as (asked: Asked, entry: Entry) => Fault | null)(asked, entry);
