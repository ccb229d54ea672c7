import { isLockOrAnswer, type LockOrAnswer } from "../../belt-test/scorebook/refusal-of-basis.ts";
import type { Notebook } from "./notebook.ts";

/** Own locks and answers that stand here, and wait until another device of this judge has sent the marks they speak of. */
export const locksWaiting = ({ book, outbox }: Notebook): LockOrAnswer[] =>
  [...outbox.refusals].flatMap(([id, { code }]) => {
    const entry = code === "BASIS_WRONG" ? book.entry(id) : undefined;
    return entry && isLockOrAnswer(entry) ? [entry] : [];
  });
