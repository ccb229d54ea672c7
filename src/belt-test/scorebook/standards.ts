import type { PersonId } from "../../book/identity.ts";
import { historyOf, newestOf } from "../../book/keyed.ts";
import { type History, Newest, NOW } from "../../book/order.ts";
import type { AnchorId } from "../identity.ts";
import type { EntryBody, EntryOf } from "./entry.ts";
import type { Folds } from "./folds.ts";

/** What is known of the judges beside the marks of the day: anchor performances, and what earlier tests left. */
export class Standards {
  readonly #anchors = new Map<AnchorId, History<EntryBody<"anchor-set">>>();
  readonly #agreed = new Map<AnchorId, Newest<EntryOf<"anchor-agreed">>>();
  readonly #anchorMarks = new Map<string, Newest<EntryOf<"anchor-marked">>>();
  readonly #kept = new Map<string, Newest<EntryBody<"severity-kept">>>();
  readonly #used = new Newest<EntryBody<"severities-used">>();
  readonly #told = new Map<PersonId, Newest<EntryOf<"judge-told">>>();
  #version = 0;

  readonly folds = {
    "anchor-set": (entry) => {
      this.#version++;
      historyOf(this.#anchors, entry.body.anchor).offer(entry.body, entry);
    },
    "anchor-agreed": (entry) => {
      this.#version++;
      newestOf(this.#agreed, entry.body.anchor).offer(entry, entry);
    },
    "anchor-marked": (entry) => {
      this.#version++;
      newestOf(this.#anchorMarks, `${entry.body.anchor}/${entry.by}`).offer(entry, entry);
    },
    "severity-kept": (entry) => {
      this.#version++;
      newestOf(this.#kept, `${entry.body.judge}/${entry.body.from}`).offer(entry.body, entry);
    },
    "severities-used": (entry) => {
      this.#version++;
      this.#used.offer(entry.body, entry);
    },
    "judge-told": (entry) => {
      newestOf(this.#told, entry.body.judge).offer(entry, entry);
    },
  } satisfies Folds;

  /** Grows with every entry that says something of judges beside today's marks. */
  get version(): number {
    return this.#version;
  }
  anchor(anchor: AnchorId, at = NOW): EntryBody<"anchor-set"> | undefined {
    return this.#anchors.get(anchor)?.at(at);
  }
  /** Anchor performances that were not taken back, by id, which is by age. */
  get anchors(): EntryBody<"anchor-set">[] {
    return [...this.#anchors.values()]
      .flatMap(({ value }) => (value?.isOpen ? [value] : []))
      .sort((a, b) => (a.anchor < b.anchor ? -1 : 1));
  }
  /** The marks that were agreed for it, and who wrote them down. */
  agreed(anchor: AnchorId): EntryOf<"anchor-agreed"> | undefined {
    return this.#agreed.get(anchor)?.value;
  }
  anchorMarks(anchor: AnchorId, judge: PersonId): EntryBody<"anchor-marked">["marks"] {
    return this.#anchorMarks.get(`${anchor}/${judge}`)?.value?.body.marks ?? [];
  }
  /** What earlier tests left of the judges. */
  get keptSeverities(): EntryBody<"severity-kept">[] {
    return [...this.#kept.values()].flatMap(({ value }) => (value?.kept ? [value] : []));
  }
  /** Whether anchors and history are reckoned with. Anchors only when the chief says so: agreed with a closer eye than judges mark with, they mislead (docs/fairness.md). */
  get severitiesUsed(): { anchors: boolean; history: boolean } {
    return this.#used.value ?? { anchors: false, history: true };
  }
  /** A judge's own page, as the chief gave it last. */
  told(judge: PersonId): EntryOf<"judge-told"> | undefined {
    return this.#told.get(judge)?.value;
  }
}
