import type { EntryId } from "../../book/identity.ts";
import { keyed, listOf, newestOf } from "../../book/keyed.ts";
import { byAge, type Newest } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import type { CandidateVersions } from "./candidate-versions.ts";
import type { EntryOf } from "./entry.ts";
import type { Folds } from "./folds.ts";

/** What the chief decided: questions settled, verdicts, sheets. */
export class Decisions {
  readonly #versions: CandidateVersions;
  readonly #isAskedAnew: (settled: EntryOf<"review-settled">) => boolean;
  readonly #settled = new Map<CandidateId, Map<string, Newest<EntryOf<"review-settled">>>>();
  /** All there were, in no order. */
  readonly #verdicts = new Map<CandidateId, EntryOf<"verdict">[]>();
  readonly #verdict = new Map<CandidateId, Newest<EntryOf<"verdict">>>();
  readonly #sheetEdit = new Map<CandidateId, Newest<EntryOf<"sheet-edited">>>();
  readonly #released = new Map<CandidateId, Newest<EntryOf<"sheet-released">>>();

  /** @param isAskedAnew  whether marks came since that make a settled question open again */
  constructor(
    versions: CandidateVersions,
    isAskedAnew: (settled: EntryOf<"review-settled">) => boolean,
  ) {
    this.#versions = versions;
    this.#isAskedAnew = isAskedAnew;
  }

  readonly folds = {
    "review-settled": (entry) => {
      const { candidate, question } = entry.body;
      this.#versions.touch(candidate);
      const settled = keyed(this.#settled, candidate, () => new Map());
      newestOf(settled, question).offer(entry, entry);
    },
    verdict: (entry) => {
      const { candidate } = entry.body;
      this.#versions.touch(candidate);
      newestOf(this.#verdict, candidate).offer(entry, entry);
      listOf(this.#verdicts, candidate).push(entry);
    },
    "sheet-edited": (entry) => {
      this.#versions.touch(entry.body.candidate);
      newestOf(this.#sheetEdit, entry.body.candidate).offer(entry, entry);
    },
    "sheet-released": (entry) => {
      this.#versions.touch(entry.body.candidate);
      newestOf(this.#released, entry.body.candidate).offer(entry, entry);
    },
  } satisfies Folds;

  /** What was said last of a question, also where it is asked anew since. */
  settledLast(candidate: CandidateId, question: string): EntryOf<"review-settled"> | undefined {
    return this.#settled.get(candidate)?.get(question)?.value;
  }
  settled(candidate: CandidateId, question: string): EntryOf<"review-settled"> | undefined {
    const settled = this.settledLast(candidate, question);
    return settled && !this.#isAskedAnew(settled) ? settled : undefined;
  }
  /** Everything ever settled of this candidate, each question as it was settled last. */
  settlementsLast(candidate: CandidateId): EntryOf<"review-settled">[] {
    return [...(this.#settled.get(candidate)?.values() ?? [])].flatMap(({ value }) => value ?? []);
  }
  /** The same without what is asked anew since. */
  settlements(candidate: CandidateId): EntryOf<"review-settled">[] {
    return this.settlementsLast(candidate).filter((settled) => !this.#isAskedAnew(settled));
  }
  verdict(candidate: CandidateId): EntryOf<"verdict"> | undefined {
    return this.#verdict.get(candidate)?.value;
  }
  /** Every verdict there was, in no order. */
  verdicts(candidate: CandidateId): readonly EntryOf<"verdict">[] {
    return this.#verdicts.get(candidate) ?? [];
  }
  sheetEdit(candidate: CandidateId): EntryOf<"sheet-edited"> | undefined {
    return this.#sheetEdit.get(candidate)?.value;
  }
  /** That the sheet was released with the verdict that stands. Undefined where it was not, or another verdict was given since. */
  release(candidate: CandidateId): EntryOf<"sheet-released"> | undefined {
    const released = this.lastRelease(candidate);
    const verdict = this.verdict(candidate);
    if (!released) return undefined;
    const { of } = released.body;
    const standing: EntryId | null = verdict?.id ?? null;
    if (of !== undefined) return of === standing ? released : undefined;
    if (!verdict) return released;
    // Books of before stay as they were.
    const isOfIt = verdict.body.after === undefined || byAge(released, verdict) > 0;
    return isOfIt ? released : undefined;
  }
  /** The same of whichever verdict stood then. */
  lastRelease(candidate: CandidateId): EntryOf<"sheet-released"> | undefined {
    return this.#released.get(candidate)?.value;
  }
}
