import { FaultError } from "../../src/book/faults.ts";
import type { GradingId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import type { StoredEntry } from "../../src/book/stored-entry.ts";
import { canonicalText, entryDigest } from "../../src/hub/store/chain.ts";
import { type VerifiedChain, verifyChain } from "../../src/hub/store/verify-chain.ts";
import type { Appended, ScorebookStore } from "../../src/ports/scorebook-store.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";
import type { Dice } from "./dice.ts";
import { copyOf, type DoorRows, noRows } from "./memory-door.ts";
import type { Life } from "./timeline.ts";

const SALT = "0".repeat(32);
/** Milliseconds a commit takes. */
const COMMIT = { least: 1, most: 30 };

export interface HubBackup {
  lines: StoredEntry[];
  sides: SideRecord[];
  door: DoorRows;
}

/** The disk of the hub's machine: what is committed, and what befalls a commit. */
export class HubDisk {
  door = noRows();
  isFull = false;
  /** Who was erased, noted outside of what a backup holds. */
  readonly erased = new Set<string>();
  /** Share of commits that are done although the answer says that they failed. */
  lostAnswers = 0;
  readonly #grading: GradingId;
  readonly #dice: Dice;
  readonly #onCommit: (added: readonly StoredEntry[]) => void;
  #book = openMemoryScorebook(() => SALT);

  constructor(grading: GradingId, dice: Dice, onCommit: (added: readonly StoredEntry[]) => void) {
    this.#grading = grading;
    this.#dice = dice;
    this.#onCommit = onCommit;
  }

  /** The store as one run of the hub sees it. A run that dies before the commit leaves nothing of it. */
  open(life: Life): ScorebookStore {
    const book = this.#book;
    return {
      ...book,
      erase: (grading, about) =>
        new Promise<number>((resolve, reject) => {
          life.after(this.#dice.between(COMMIT.least, COMMIT.most), () => {
            if (this.isFull) return reject(new FaultError({ code: "STORE_FULL" }));
            void book.erase(grading, about).then(resolve);
          });
        }),
      append: (grading, entries, sides = [], read = undefined) =>
        new Promise<Appended>((resolve, reject) => {
          life.after(this.#dice.between(COMMIT.least, COMMIT.most), () => {
            if (this.isFull) return reject(new FaultError({ code: "STORE_FULL" }));
            void book.append(grading, entries, sides, read).then((appended) => {
              this.#onCommit(appended.added);
              if (this.#dice.falls(this.lostAnswers))
                return reject(new FaultError({ code: "STORE_LOST" }));
              life.after(this.#dice.between(0, 5), () => resolve(appended));
            });
          });
        }),
    };
  }

  lines(): Promise<StoredEntry[]> {
    return this.#book.read(this.#grading, 0);
  }
  sides(): Promise<SideRecord[]> {
    return this.#book.sides(this.#grading);
  }
  async backUp(): Promise<HubBackup> {
    return {
      lines: await this.lines(),
      sides: await this.#book.sides(this.#grading),
      door: copyOf(this.door),
    };
  }
  /** Puts a backup in the place of everything. The hub is down meanwhile. */
  async restore({ lines, sides, door }: HubBackup): Promise<void> {
    this.#book = openMemoryScorebook(() => SALT);
    await this.#book.append(
      this.#grading,
      lines.map(({ entry }) => entry),
      sides,
    );
    this.door = copyOf(door);
  }
  /** The chain, verified as a hub's database is. */
  async chain(): Promise<VerifiedChain> {
    return verifyChain(
      (await this.lines()).map(({ entry, seq, chain }) => {
        const { id, device, n } = entry;
        const body = canonicalText(entry);
        return { seq, id, device, n, body, salt: SALT, digest: entryDigest(SALT, body), chain };
      }),
    );
  }
}
