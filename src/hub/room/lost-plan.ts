import type { DeviceId, GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";

/** Of which tests that is so, through a restart. */
export interface LostPlans {
  isLost(grading: GradingId): Promise<boolean>;
  note(grading: GradingId, isLost: boolean): Promise<unknown>;
}
const NAME = "plan-lost/";
const YES = "yes";
export const lostPlansIn = (
  tables: Pick<DoorTables, "setting" | "keepSetting" | "takeSetting">,
): LostPlans => ({
  isLost: async (grading) => (await tables.setting(NAME + grading)) !== undefined,
  note: async (grading, isLost) =>
    isLost ? tables.keepSetting(NAME + grading, YES) : tables.takeSetting(NAME + grading, YES),
});
/** Where nothing is kept. */
export const noLostPlans: LostPlans = { isLost: async () => false, note: async () => undefined };

/**
 * A hub that was put back from an older copy lacks what was said since of who judges whom, and a lock that came before that would open marks, for good, of
 * which somebody is still to say something. Only the chief's tablet has it: until that has given it back, whatever others bring waits on their tablets.
 */
export class LostPlan {
  readonly #note: (isLost: boolean) => void;
  #isLost = false;
  #hasChiefCome = false;
  #isPutBack = false;
  readonly #come = new Set<DeviceId>();

  constructor(note: (isLost: boolean) => void) {
    this.#note = note;
  }

  /** Somebody has read further in this book than it goes. */
  wasLost(): void {
    if (this.#isLost || this.#hasChiefCome) return;
    this.#isLost = true;
    this.#isPutBack = true;
    this.#note(true);
  }
  /** A chief's tablet has handed in all it had; or another hub is at work on the book, where it may be. */
  chiefHasCome(): void {
    this.#hasChiefCome = true;
    if (!this.#isLost) return;
    this.#isLost = false;
    this.#note(false);
  }
  hasCome(device: DeviceId): void {
    this.#come.add(device);
  }
  /** Also when the chief has come: another chief's tablet may come after. */
  isPutBackFor(device: DeviceId): boolean {
    return this.#isPutBack && !this.#come.has(device);
  }
  get isAwaited(): boolean {
    return this.#isLost;
  }
}
