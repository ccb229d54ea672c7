import type { PersonId } from "../../book/identity.ts";
import { insertByAge, keyed, newestOf } from "../../book/keyed.ts";
import { Newest } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import type { CandidateVersions } from "./candidate-versions.ts";
import type { EntryBody, EntryOf } from "./entry.ts";
import type { Folds } from "./folds.ts";
import type { Presence } from "./presence.ts";
import { type Named, UntilEnded } from "./until-ended.ts";

type PresenceSaid = EntryOf<Exclude<Presence, "withdrawn">>;

/** What goes on in the hall: who is here, what is called, whether it stands still. */
export class Floor {
  readonly #versions: CandidateVersions;
  readonly #presence = new Map<CandidateId, Newest<PresenceSaid>>();
  readonly #withdrawn = new Map<CandidateId, UntilEnded<EntryOf<"withdrawn">>>();
  readonly #calls: EntryOf<"called">[] = [];
  readonly #pause = new Newest<boolean>();
  readonly #stops = new UntilEnded<EntryOf<"stopped">>();
  readonly #cleared = new Newest<EntryOf<"floor-cleared">>();
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
      const { candidate, why, withdrawals } = entry.body;
      this.#version++;
      this.#versions.touch(candidate);
      const theirs = keyed(this.#withdrawn, candidate, () => new UntilEnded());
      if (why) theirs.begin(entry);
      else theirs.end(entry, withdrawals);
    },
    called: (entry) => insertByAge(this.#calls, entry),
    paused: (entry) => {
      this.#pause.offer(true, entry);
    },
    resumed: (entry) => {
      this.#pause.offer(false, entry);
    },
    stopped: (entry) => this.#stops.begin(entry),
    "floor-cleared": (entry) => {
      this.#cleared.offer(entry, entry);
      this.#stops.end(entry, entry.body.stops);
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
    return this.withdrawnBy(candidate)?.body.why ?? undefined;
  }
  /** The line that says it, where the candidate has withdrawn and not come back. */
  withdrawnBy(candidate: CandidateId): EntryOf<"withdrawn"> | undefined {
    return this.withdrawals(candidate).at(-1);
  }
  /** All lines that say it and that nobody who knew of them has taken back, oldest first. */
  withdrawals(candidate: CandidateId): readonly EntryOf<"withdrawn">[] {
    return this.#withdrawn.get(candidate)?.unended ?? [];
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
  /** Stops that nobody who knew of them has cleared, oldest first. */
  get stops(): readonly EntryOf<"stopped">[] {
    return this.#stops.unended;
  }
  /** Whether the floor was cleared of this stop, which may not have come itself. */
  isCleared(stop: Named): boolean {
    return this.#stops.isEnded(stop);
  }
  /** The newest stop that stands, else the newest word that the floor is clear. */
  get stop(): { stopped: boolean; by: PersonId; at: number } | undefined {
    const stop = this.stops.at(-1);
    const said = stop ?? this.#cleared.value;
    return said && { stopped: said === stop, by: said.by, at: said.at };
  }
  get incidents(): readonly EntryOf<"incident">[] {
    return this.#incidents;
  }
  /** Who came in as somebody that had a device here already, in no order: see let-ins.ts. */
  get letIns(): readonly EntryOf<"let-in">[] {
    return this.#letIns;
  }
}
