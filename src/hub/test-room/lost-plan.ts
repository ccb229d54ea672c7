import * as z from "zod/mini";
import { type DeviceId, EntryId, type GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";

/** Of which tests that is so, through a restart and, where hubs share a store, at all of them. */
export interface LostPlans {
  /** Whether others note there too. */
  isShared?: boolean;
  isLost(grading: GradingId): Promise<boolean>;
  note(grading: GradingId, isLost: boolean): Promise<unknown>;
  /** What decided something in a book that was put back, and had been known to the lost hub: it came with its receipt. */
  cameAgain(grading: GradingId): Promise<readonly EntryId[]>;
  noteAgain(grading: GradingId, ids: readonly EntryId[]): Promise<unknown>;
}
const NAME = "plan-lost/";
const YES = "yes";
const AGAIN = "came-again/";
const Ids = z.array(EntryId);
export const lostPlansIn = (
  tables: Pick<DoorTables, "setting" | "settings" | "keepSetting" | "takeSetting">,
  isShared = false,
): LostPlans => ({
  isShared,
  isLost: async (grading) => (await tables.setting(NAME + grading)) !== undefined,
  note: async (grading, isLost) =>
    isLost ? tables.keepSetting(NAME + grading, YES) : tables.takeSetting(NAME + grading, YES),
  cameAgain: async (grading) =>
    (await tables.settings(`${AGAIN}${grading}/`)).flatMap(({ value }) => idsIn(value)),
  // Each under a name of its own: hubs write beside each other.
  noteAgain: async (grading, ids) =>
    tables.keepSetting(`${AGAIN}${grading}/${ids[0]}`, JSON.stringify(ids)),
});
/** Of what is garbled nothing is known. */
function idsIn(value: string): EntryId[] {
  try {
    return Ids.safeParse(JSON.parse(value)).data ?? [];
  } catch {
    return [];
  }
}
/** Where nothing is kept. */
export const noLostPlans: LostPlans = {
  isLost: async () => false,
  note: async () => undefined,
  cameAgain: async () => [],
  noteAgain: async () => undefined,
};

/**
 * A hub that was put back from an older copy lacks what was said since of who judges whom, and a lock that came before that would open marks, for good, of
 * which somebody is still to say something. Only the chief's tablet has it: until that has given it back, whatever others bring waits on their tablets.
 * Where hubs share a store, whoever was lost to one waits at all of them, and the chief's tablet may come to any: the note in the store is looked at.
 */
export class LostPlan {
  readonly #grading: GradingId;
  readonly #plans: LostPlans;
  #isLost = false;
  /** As far as this hub knows. */
  #isNoted = false;
  #hasChiefCome = false;
  #isPutBack = false;
  readonly #come = new Set<DeviceId>();

  constructor(grading: GradingId, plans: LostPlans) {
    this.#grading = grading;
    this.#plans = plans;
  }

  /** Somebody has read further in this book than it goes. Resolves when that is noted. */
  async wasLost(): Promise<void> {
    this.#isPutBack = true;
    if (this.#isLost || this.#hasChiefCome) return;
    this.#isLost = true;
    await this.#note(true);
  }
  /** A chief's tablet has handed in all it had. The note goes with the next look. */
  chiefHasCome(): void {
    this.#hasChiefCome = true;
    this.#isLost = false;
  }
  /**
   * Whether another hub waits, or has seen the chief's tablet; a note that waits for one that was here goes.
   * @param readOn  throws where this hub's own book is not the store's any more: whoever came to it came before that was put back
   */
  async look(readOn: () => Promise<unknown>): Promise<void> {
    const wasNoted = this.#isNoted;
    const isNoted = this.#plans.isShared ? await this.#plans.isLost(this.#grading) : wasNoted;
    if (isNoted) {
      this.#isPutBack = true;
      this.#isNoted = true;
      this.#isLost = !this.#hasChiefCome;
      if (this.#isLost) return;
      await readOn();
      await this.#note(false);
    } else if (this.#isLost && wasNoted) {
      this.#isNoted = false;
      this.chiefHasCome();
    } else if (this.#isLost) await this.#note(true);
  }
  hasCome(device: DeviceId): void {
    this.#come.add(device);
  }
  /** Also when the chief has come: another chief's tablet may come after. */
  isPutBackFor(device: DeviceId): boolean {
    return this.#isPutBack && !this.#come.has(device);
  }
  get isPutBack(): boolean {
    return this.#isPutBack;
  }
  get isAwaited(): boolean {
    return this.#isLost;
  }

  async #note(isLost: boolean): Promise<void> {
    try {
      await this.#plans.note(this.#grading, isLost);
      this.#isNoted = isLost;
    } catch {
      // Where the store is away it is tried again with the next look.
    }
  }
}
