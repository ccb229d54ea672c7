import type { PersonId } from "../../book/identity.ts";
import type { Step } from "../script/script.ts";
import { askedNow, blankCells, missingOveralls } from "./judge-view.ts";
import { isAway } from "./presence.ts";
import type { Scorebook } from "./scorebook.ts";

/** Whether a judge has said something of every cell asked at this call, for every child on the floor who is theirs. */
export const isCallDone = (book: Scorebook, judge: PersonId, step: Step): boolean =>
  askedNow(step).every((part) =>
    blankCells(book, judge, part).every(({ candidate }) => isAway(book.floor.presence(candidate))),
  ) &&
  missingOveralls(book, judge, step).every((candidate) => isAway(book.floor.presence(candidate)));
