import type { PersonId } from "../../book/identity.ts";
import { insertByAge, newestOf } from "../../book/keyed.ts";
import { Newest } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import type { CandidateVersions } from "./candidate-versions.ts";
import type { EntryBody, EntryOf } from "./entry.ts";
import type { Folds } from "./folds.ts";
import type { Presence } from "./presence.ts";

type PresenceSaid = EntryOf<Exclude<Presence, "withdrawn">>;

/** What goes on in the hall: who is here, what is called, whether it stands still. */
export class Floor {
  readonly #versions: CandidateVersions;
  readonly #presence = new Map<CandidateId, Newest<PresenceSaid>>();
  readonly #withdrawn = new Map<CandidateId, Newest<EntryOf<"withdrawn">>>();
  readonly #calls: EntryOf<"called">[] = [];
  readonly #pause = new Newest<boolean>();
  readonly #stop = new Newest<{ stopped: boolean; by: PersonId; at: number }>();
  readonly #incidents: EntryOf<"incident">[] = [];
  readonly #letIns: EntryOf<"let-in">[] = [];
  #version = 0;

  constructor(versions: CandidateVersions) {
    this.#versions = versions;
  }

  readonly folds = {
    "checked-in": (entry) => this.#offerPresence(entry),
    absent: (entry) => this.#offerPresence(entry),
    unfit: (entry) => this.#offerPresence(entry),
    expected: (entry) => this.#offerPresence(entry),
    withdrawn: (entry) => {
      this.#version++;
      this.#versions.touch(entry.body.candidate);
      newestOf(this.#withdrawn, entry.body.candidate).offer(entry, entry);
    },
    called: (entry) => insertByAge(this.#calls, entry),
    paused: (entry) => {
      this.#pause.offer(true, entry);
    },
    resumed: (entry) => {
      this.#pause.offer(false, entry);
    },
    stopped: (entry) => {
      this.#stop.offer({ stopped: true, by: entry.by, at: entry.at }, entry);
    },
    "floor-cleared": (entry) => {
      this.#stop.offer({ stopped: false, by: entry.by, at: entry.at }, entry);
    },
    incident: (entry) => insertByAge(this.#incidents, entry),
    "let-in": (entry) => {
      this.#letIns.push(entry);
    },
  } satisfies Folds;

  #offerPresence(entry: PresenceSaid): void {
    this.#version++;
    this.#versions.touch(entry.body.candidate);
    newestOf(this.#presence, entry.body.candidate).offer(entry, entry);
  }

  /** Grows with every entry that says who is here. */
  get version(): number {
    return this.#version;
  }
  presence(candidate: CandidateId): Presence {
    if (this.withdrawal(candidate)) return "withdrawn";
    return this.presenceSaid(candidate)?.kind ?? "expected";
  }
  /** What was said last of whether a candidate is here; a withdrawal is another thing. */
  presenceSaid(candidate: CandidateId): PresenceSaid | undefined {
    return this.#presence.get(candidate)?.value;
  }
  withdrawal(candidate: CandidateId): NonNullable<EntryBody<"withdrawn">["why"]> | undefined {
    return this.#withdrawn.get(candidate)?.value?.body.why ?? undefined;
  }
  /** The line that says it, where the candidate has withdrawn and not come back. */
  withdrawnBy(candidate: CandidateId): EntryOf<"withdrawn"> | undefined {
    const last = this.#withdrawn.get(candidate)?.value;
    return last?.body.why ? last : undefined;
  }
  /** All calls, oldest first. */
  get calls(): readonly EntryOf<"called">[] {
    return this.#calls;
  }
  get currentCall(): EntryOf<"called"> | undefined {
    return this.#calls.at(-1);
  }
  get isPaused(): boolean {
    return this.#pause.value === true;
  }
  get stop(): { stopped: boolean; by: PersonId; at: number } | undefined {
    return this.#stop.value;
  }
  get incidents(): readonly EntryOf<"incident">[] {
    return this.#incidents;
  }
  /** Who came in as somebody that had a device here already, in no order: see let-ins.ts. */
  get letIns(): readonly EntryOf<"let-in">[] {
    return this.#letIns;
  }
}
