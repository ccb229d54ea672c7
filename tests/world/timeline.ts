import type { Clock } from "../../src/ports/clock.ts";

interface Due {
  atMs: number;
  order: number;
  work: () => void;
}

/** Virtual time: what is due next is done next, and nothing waits. Things due together are done in the order they were asked for. */
export class Timeline {
  nowMs = 0;
  /** Things done so far. */
  done = 0;
  readonly #heap: Due[] = [];
  #order = 0;

  at(atMs: number, work: () => void): void {
    this.#push({ atMs: Math.max(atMs, this.nowMs), order: this.#order++, work });
  }

  /** Does everything due by then; after each thing, whatever it promised is done before the next. */
  async runUntil(endMs: number): Promise<void> {
    await settled();
    for (let due = this.#heap[0]; due && due.atMs <= endMs; due = this.#heap[0]) {
      this.#pop();
      this.nowMs = due.atMs;
      this.done++;
      due.work();
      await settled();
    }
    this.nowMs = Math.max(this.nowMs, endMs);
  }

  #push(due: Due): void {
    const heap = this.#heap;
    let at = heap.length;
    heap.push(due);
    while (at > 0) {
      const parent = (at - 1) >> 1;
      const above = heap[parent] as Due;
      if (!isBefore(due, above)) break;
      heap[at] = above;
      at = parent;
    }
    heap[at] = due;
  }
  #pop(): void {
    const heap = this.#heap;
    const last = heap.pop() as Due;
    if (heap.length === 0) return;
    let at = 0;
    for (;;) {
      let child = 2 * at + 1;
      if (child >= heap.length) break;
      if (child + 1 < heap.length && isBefore(heap[child + 1] as Due, heap[child] as Due)) child++;
      if (!isBefore(heap[child] as Due, last)) break;
      heap[at] = heap[child] as Due;
      at = child;
    }
    heap[at] = last;
  }
}

const isBefore = (a: Due, b: Due): boolean =>
  a.atMs < b.atMs || (a.atMs === b.atMs && a.order < b.order);

/** A turn of the platform's loop comes after all promises that are settled; nothing here waits for anything real. */
const settled = () => new Promise<void>((done) => void setImmediate(done));

/** Midnight of an invented day; 6 June 2026. */
const MIDNIGHT = Date.UTC(2026, 5, 6);

/** One run of one process: its timers die with it, and its wall clock is as wrong as its machine's. */
export class Life implements Clock {
  isOver = false;
  readonly #time: Timeline;
  readonly #machine: { skewMs: number };
  readonly #lastWords = new Set<() => void>();

  constructor(time: Timeline, machine: { skewMs: number }) {
    this.#time = time;
    this.#machine = machine;
  }

  nowMs(): number {
    return MIDNIGHT + Math.floor(this.#time.nowMs) + this.#machine.skewMs;
  }
  steadyMs(): number {
    return this.#time.nowMs;
  }
  after(ms: number, work: () => void): () => void {
    let isOff = false;
    this.#time.at(this.#time.nowMs + ms, () => {
      if (!isOff && !this.isOver) work();
    });
    return () => {
      isOff = true;
    };
  }
  every(ms: number, work: () => void): () => void {
    let isOff = false;
    const again = () => {
      if (isOff || this.isOver) return;
      work();
      this.#time.at(this.#time.nowMs + ms, again);
    };
    this.#time.at(this.#time.nowMs + ms, again);
    return () => {
      isOff = true;
    };
  }
  /** What the machine does when the process is gone, such as closing its sockets. */
  onEnd(work: () => void): void {
    this.#lastWords.add(work);
  }
  end(): void {
    if (this.isOver) return;
    this.isOver = true;
    for (const work of this.#lastWords) work();
  }
}
