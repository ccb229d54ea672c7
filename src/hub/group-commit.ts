import { type Clock, platformClock } from "../ports/clock.ts";

/** One piece of work that waits for the next commit. */
interface Waiting<Job, Answer> {
  job: Job;
  resolve: (answer: Answer) => void;
  reject: (reason: unknown) => void;
}

/**
 * Collects jobs and commits them together: a disk that needs milliseconds for each commit then serves a whole hall.
 * Jobs are answered only when their commit is done, in the order they came, one commit at a time.
 * With `waitMs` 0 a group is what has come in when the process has read its sockets: an idle hub answers at once,
 * and a busy one groups by itself, because everything that arrives during a commit goes into the next.
 */
export class GroupCommit<Job, Answer> {
  readonly #commit: (jobs: Job[]) => Promise<Answer[]>;
  readonly #waitMs: number;
  readonly #clock: Clock;
  readonly #most: number;
  #queue: Waiting<Job, Answer>[] = [];
  #timer: (() => void) | undefined;
  #running: Promise<void> = Promise.resolve();

  constructor(
    commit: (jobs: Job[]) => Promise<Answer[]>,
    {
      waitMs = 0,
      most = 500,
      clock = platformClock,
    }: { waitMs?: number; most?: number; clock?: Clock } = {},
  ) {
    this.#commit = commit;
    this.#waitMs = waitMs;
    this.#most = most;
    this.#clock = clock;
  }

  add(job: Job): Promise<Answer> {
    return new Promise((resolve, reject) => {
      this.#queue.push({ job, resolve, reject });
      if (this.#queue.length >= this.#most) void this.flush();
      else this.#timer ??= this.#clock.after(this.#waitMs, () => void this.flush());
    });
  }

  /** Commits what waits; resolves when everything handed in so far is answered. */
  flush(): Promise<void> {
    this.#timer?.();
    this.#timer = undefined;
    const group = this.#queue;
    this.#queue = [];
    if (group.length > 0) this.#running = this.#running.then(() => this.#answer(group));
    return this.#running;
  }

  async #answer(group: Waiting<Job, Answer>[]): Promise<void> {
    try {
      const answers = await this.#commit(group.map(({ job }) => job));
      for (const [index, { resolve }] of group.entries()) resolve(answers[index] as Answer);
    } catch (error) {
      for (const { reject } of group) reject(error);
    }
  }
}
