import { type Clock, platformClock } from "../../ports/clock.ts";

/** One piece of work that waits for its commit. */
interface Waiting<Job, Answer> {
  job: Job;
  resolve: (answer: Answer) => void;
  reject: (reason: unknown) => void;
}

export interface GroupCommitSettings<Job> {
  /** Who handed it in. Jobs of one source are done in the order they came. */
  sourceOf: (job: Job) => unknown;
  /** How much work it is. */
  weigh: (job: Job) => number;
  /** So much of one source goes into one commit; a job that is heavier alone goes by itself. */
  share: number;
  clock?: Clock;
}

/**
 * Collects jobs and commits them together: a disk that needs milliseconds for each commit then serves a whole hall.
 * Jobs are answered only when their commit is done, one commit at a time.
 * A group is what has come in when the process has read its sockets: an idle hub answers at once,
 * and a busy one groups by itself, because everything that arrives during a commit goes into the next.
 * Nobody waits for another's day: a tablet that comes back with thousands of marks hands in one share a commit, while everybody else's go with it.
 */
export class GroupCommit<Job, Answer> {
  readonly #commit: (jobs: Job[]) => Promise<Answer[]>;
  readonly #settings: Required<GroupCommitSettings<Job>>;
  #queue: Waiting<Job, Answer>[] = [];
  #callOff: (() => void) | undefined;
  #running: Promise<void> | undefined;

  constructor(commit: (jobs: Job[]) => Promise<Answer[]>, settings: GroupCommitSettings<Job>) {
    this.#commit = commit;
    this.#settings = { clock: platformClock, ...settings };
  }

  add(job: Job): Promise<Answer> {
    return new Promise((resolve, reject) => {
      this.#queue.push({ job, resolve, reject });
      this.#soon();
    });
  }

  /** Commits what waits; resolves when everything handed in so far is answered. */
  async flush(): Promise<void> {
    while (this.#running || this.#queue.length > 0) {
      if (!this.#running) this.#start();
      await this.#running;
    }
  }

  #soon(): void {
    if (this.#running || this.#queue.length === 0) return;
    this.#callOff ??= this.#settings.clock.after(0, () => this.#start());
  }
  #start(): void {
    this.#callOff?.();
    this.#callOff = undefined;
    this.#running = this.#answer(this.#nextGroup()).finally(() => {
      this.#running = undefined;
      this.#soon();
    });
  }

  /** Each source's share, in the order in which they came. */
  #nextGroup(): Waiting<Job, Answer>[] {
    const { sourceOf, weigh, share } = this.#settings;
    const group: Waiting<Job, Answer>[] = [];
    const rest: Waiting<Job, Answer>[] = [];
    const taken = new Map<unknown, number>();
    for (const waiting of this.#queue) {
      const source = sourceOf(waiting.job);
      const before = taken.get(source);
      const after = (before ?? 0) + weigh(waiting.job);
      const isWithin = before === undefined || after <= share;
      // What follows a job that must wait, waits too.
      taken.set(source, isWithin ? after : Number.POSITIVE_INFINITY);
      (isWithin ? group : rest).push(waiting);
    }
    this.#queue = rest;
    return group;
  }

  async #answer(group: Waiting<Job, Answer>[]): Promise<void> {
    try {
      const answers = await this.#commit(group.map(({ job }) => job));
      for (const [index, { resolve }] of group.entries()) resolve(answers[index] as Answer);
    } catch (error) {
      const [first, ...more] = group;
      if (more.length === 0) first?.reject(error);
      // Whatever went wrong with one of them is not the others' loss: each is tried by itself.
      else for (const one of group) await this.#answer([one]);
    }
  }
}
