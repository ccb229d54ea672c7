import { type Fault, FaultError } from "../../book/faults.ts";
import type { GradingId, SideRecordId } from "../../book/identity.ts";
import type { Clock } from "../../ports/clock.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { SideShelf } from "./side-shelf.ts";

/** Told of everybody erased, and what their records call them, while those are there still; nothing goes before it resolves. A FaultError puts it off. */
type OnErasing = (grading: GradingId, about: string, called: readonly string[]) => unknown;
/** Told once of everybody erased, after their records are gone from the store; and again by a room that opens. */
type OnErased = (grading: GradingId, about: string) => void;
export interface ForgettingSettings {
  clock: Clock;
  onErasing: OnErasing;
  onErased: OnErased;
  /** Told of an erasing that waits for the disk. */
  onTrouble: (fault: Fault) => void;
  /** Told where the records are gone and their bytes have to stay. */
  onUnswept: (fault: Fault) => void;
  /** Whom the hub knows to be erased besides the book: a restored book may be older than that. */
  erasedBefore: ReadonlySet<string>;
}

/** Records that the disk would not erase are tried again after this long. Milliseconds. */
const ERASE_AGAIN_MS = 5_000;
/** Whether somebody has swept what this hub may not is looked at so often. Milliseconds. */
const LOOK_AGAIN_MS = 60_000;

/** Takes from the disk what is held of people whom the chief had erased, and goes on trying where it cannot. */
export class Forgetting {
  readonly #grading: GradingId;
  readonly #store: Pick<ScorebookStore, "erase" | "unswept">;
  readonly #sides: SideShelf;
  readonly #written: () => ReadonlySet<string>;
  readonly #settings: ForgettingSettings;
  /** Of whom the disk still holds records that nobody is sent any more; and which of them are wrongly filed. */
  readonly #toErase = new Map<string, SideRecordId[]>();
  /** Names of whom it has not told yet that they are erased. */
  readonly #wasCalled = new Map<string, readonly string[]>();
  /** Of whom it has told that they are erased. */
  readonly #forgotten = new Set<string>();
  /** Waits to ask the disk again; one for all that could not go. */
  #again: (() => void) | undefined;
  #waits: Fault | undefined;
  #unswept: Fault | undefined;
  #sweptYet: (() => void) | undefined;
  #isClosed = false;

  /** @param written  everybody erased by the book as it is on the disk */
  constructor(
    grading: GradingId,
    store: Pick<ScorebookStore, "erase" | "unswept">,
    sides: SideShelf,
    written: () => ReadonlySet<string>,
    settings: ForgettingSettings,
  ) {
    this.#grading = grading;
    this.#store = store;
    this.#sides = sides;
    this.#written = written;
    this.#settings = settings;
  }

  /** Why somebody whom the chief had erased is on the disk still; undefined where nobody is. */
  get waits(): Fault | undefined {
    return this.#waits;
  }
  /** Why bytes of whom the chief had erased here have to stay on the disk, although the records are gone. */
  get unswept(): Fault | undefined {
    return this.#unswept;
  }
  /** Tries nothing again. */
  close(): void {
    this.#isClosed = true;
    this.#again?.();
    this.#sweptYet?.();
  }

  async forget(): Promise<void> {
    const { erasedBefore, clock, onTrouble, onErased } = this.#settings;
    const written = this.#written();
    if (written.size + erasedBefore.size === 0) return;
    const erased = new Set([...written, ...erasedBefore]);
    for (const about of erased) {
      const called = this.#sides.namesOf(about);
      if (called.length > 0) this.#wasCalled.set(about, called);
    }
    for (const [about, ids] of this.#sides.forget(erased))
      this.#toErase.set(about, [...(this.#toErase.get(about) ?? []), ...ids]);
    try {
      await this.#erase(erased);
    } catch (error) {
      if (!(error instanceof FaultError)) throw error;
      // What was handed in is kept all the same, and nobody is sent the records; the disk is asked again, or whoever opens the test next asks it.
      if (this.#isClosed) return;
      const { code, with: { file = "", detail = code } = {} } = error.fault;
      const waits: Fault = { code: "ERASED_WAITS", with: { detail: `${file} ${detail}`.trim() } };
      if (!this.#waits) onTrouble(waits);
      this.#waits = waits;
      this.#again ??= clock.after(ERASE_AGAIN_MS, () => {
        this.#again = undefined;
        void this.forget();
      });
      return;
    }
    this.#waits = undefined;
    for (const about of erased) {
      if (this.#forgotten.has(about)) continue;
      this.#forgotten.add(about);
      onErased(this.#grading, about);
      this.#wasCalled.delete(about);
    }
  }

  /** Nobody waits for it. */
  async #lookUnswept(): Promise<void> {
    const { onUnswept, clock } = this.#settings;
    const before = this.#unswept;
    this.#unswept = await this.#store.unswept?.();
    if (!this.#unswept || this.#isClosed) return;
    if (!before) onUnswept(this.#unswept);
    this.#sweptYet ??= clock.after(LOOK_AGAIN_MS, () => {
      this.#sweptYet = undefined;
      void this.#lookUnswept();
    });
  }
  async #erase(erased: ReadonlySet<string>): Promise<void> {
    const ahead = [...erased].filter((about) => !this.#forgotten.has(about));
    for (const [at, about] of ahead.entries()) {
      if (at > 0) await othersFirst();
      const called = this.#wasCalled.get(about) ?? [];
      await this.#settings.onErasing(this.#grading, about, called);
    }
    for (const [about, ids] of [...this.#toErase]) {
      await this.#store.erase(this.#grading, about, ids);
      this.#toErase.delete(about);
      if (this.#toErase.size > 0) await othersFirst();
      else void this.#lookUnswept();
    }
  }
}

/** Where several are erased a slow disk is asked for one after another: what has come in meanwhile, for other tests too, is read between. */
const othersFirst = (): Promise<void> => new Promise((done) => setImmediate(done));
