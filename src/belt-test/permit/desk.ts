import type { deskKinds } from "../kinds/desk.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import { refusalOfAway, refusalOfExcuse } from "./after-marks.ts";
import type { Asked, RefusalsOf } from "./refusals.ts";
import { refusalOfStranger } from "./strangers.ts";

const ofAway = (asked: Asked, entry: EntryOf<"absent" | "unfit">) =>
  refusalOfStranger(asked.book, entry.body.candidate) ?? refusalOfAway(asked, entry);

const ofHere = ({ book }: Asked, { body }: EntryOf<"checked-in" | "expected">) =>
  refusalOfStranger(book, body.candidate);

export const deskRefusals = {
  "checked-in": ofHere,
  expected: ofHere,
  absent: ofAway,
  unfit: ofAway,
  excused: (asked, entry) =>
    refusalOfStranger(asked.book, entry.body.candidate) ?? refusalOfExcuse(asked, entry),
} satisfies RefusalsOf<typeof deskKinds>;
