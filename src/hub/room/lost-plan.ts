import type { DeviceId, GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";

/**
 * `lost`: a test was put back from an older copy, and its chief's tablet has not come since; `back`: it has. `claimed`: only a chief said so, who may make that up: their tablet
 * is waited for all the same.
 */
export type LostState = "claimed" | "lost" | "back";

/** Of which tests that is so, through a restart. */
export interface LostPlans {
  of(grading: GradingId): Promise<LostState | undefined>;
  note(grading: GradingId, state: LostState | undefined): Promise<unknown>;
}
const NAME = "plan-lost/";
/** As an app of before wrote it. */
const LOST = "yes";
const asRead: Readonly<Record<string, LostState>> = {
  [LOST]: "lost",
  claimed: "claimed",
  back: "back",
};
export const lostPlansIn = (
  tables: Pick<DoorTables, "setting" | "keepSetting" | "takeSetting">,
): LostPlans => ({
  of: async (grading) => asRead[(await tables.setting(NAME + grading)) ?? ""],
  note: async (grading, state) => {
    if (state) return tables.keepSetting(NAME + grading, state === "lost" ? LOST : state);
    const before = await tables.setting(NAME + grading);
    return before && tables.takeSetting(NAME + grading, before);
  },
});
/** Where nothing is kept. */
export const noLostPlans: LostPlans = { of: async () => undefined, note: async () => undefined };

/**
 * A hub that was put back from an older copy lacks what was said since of who judges whom, and a lock that came before that would open marks, for good, of
 * which somebody is still to say something. Only the chief's tablet has it: until that has given it back, whatever others bring waits on their tablets.
 */
export class LostPlan {
  readonly #note: (state: LostState | undefined) => void;
  #isLost = false;
  #hasChiefCome = false;
  #isPutBack = false;
  #isCertain = false;
  readonly #come = new Set<DeviceId>();

  constructor(note: (state: LostState | undefined) => void) {
    this.#note = note;
  }

  /** Somebody has read further in this book than it goes; or it was so when the hub was ended. */
  was(state: LostState): void {
    if (state !== "claimed") this.#isCertain = true;
    if (state === "back" || this.#hasChiefCome) return;
    this.#isPutBack = true;
    if (this.#isLost && state === "claimed") return;
    this.#isLost = true;
    this.#note(state);
  }
  /** What this hub had said itself of a line, or beside it, came back, and it has neither. */
  isProven(): void {
    if (this.#isCertain) return;
    this.#isCertain = true;
    this.#note(this.#isLost ? "lost" : "back");
  }
  /** A chief's tablet has handed in all it had; or another hub is at work on the book, where it may be. */
  chiefHasCome(): void {
    this.#hasChiefCome = true;
    if (!this.#isLost) return;
    this.#isLost = false;
    this.#note(this.#isCertain ? "back" : undefined);
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
  /** Not by a chief's word alone: what a decision speaks of, and is not here, may have been here before. */
  get isCertain(): boolean {
    return this.#isCertain;
  }
}
