import { openerIn } from "../../belt-test/intake/chiefs-word.ts";
import { isChief } from "../../belt-test/permit/writer.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { DeviceId, PersonId } from "../../book/identity.ts";
import type { Clock } from "../../ports/clock.ts";
import type { TestIntake } from "./test-intake.ts";

/** Where a chief's new device alone has come: the one that has the plan may be in the hall, and may be lost. Milliseconds. */
const NEW_CHIEF_MS = 120_000;

/** A tablet that has handed in all that it had. */
export interface Come {
  device: DeviceId;
  isChief: boolean;
  isNew: boolean;
  /** Of a chief's tablet that had read no further than this book goes, and brought nothing that was lost: whose it is, and on which other tablets they are in. */
  behind?: { person: PersonId; alsoIn: readonly DeviceId[] } | undefined;
}

interface OfRoom {
  clock: Clock;
  /** As it is on the disk. */
  book: () => Scorebook;
  /** Where the store is away it is looked again with the next commit. */
  look: () => Promise<void>;
}

/** For whose tablet a book waits that was put back from an older copy: of several chiefs the one may have it who is still to come. */
export class ChiefsToCome {
  readonly #intake: TestIntake;
  readonly #room: OfRoom;
  /** Chiefs' tablets that have come and had nothing of what was lost, and whose they are. */
  readonly #behind = new Map<DeviceId, PersonId>();
  #callOffWait: (() => void) | undefined;

  constructor(intake: TestIntake, room: OfRoom) {
    this.#intake = intake;
    this.#room = room;
  }

  /** Somebody has read further in this book than it goes. */
  async planWasLost(): Promise<void> {
    await this.#intake.planWasLost();
    if (this.#behind.size > 0) this.#waitForAnother();
  }
  /** One of a chief that has nothing of the test, or of what is lost, gives another time to come first. Resolves when other hubs may know. */
  async hasCome({ device, isChief, isNew, behind }: Come): Promise<void> {
    this.#intake.hasCome(device);
    if (!isChief) return;
    if (behind) this.#behind.set(device, behind.person);
    const mayAnotherHaveIt = behind !== undefined && this.#isAnotherToCome(behind.alsoIn);
    // Another hub may wait, of which this one has not heard yet.
    if (isNew) await this.#room.look();
    if ((isNew || mayAnotherHaveIt) && this.#intake.isChiefAwaited) this.#waitForAnother();
    else if (!mayAnotherHaveIt) await this.#chiefHasCome();
  }
  close(): void {
    this.#callOffWait?.();
  }

  #isAnotherToCome(alsoIn: readonly DeviceId[]): boolean {
    if (alsoIn.some((device) => !this.#behind.has(device))) return true;
    const behind = new Set(this.#behind.values());
    const book = this.#room.book();
    const seated = book.plan.seats.filter(isChief).map(({ person }) => person);
    const opener = openerIn(book.entries());
    return [...seated, ...(opener ? [opener] : [])].some((one) => !behind.has(one));
  }
  #waitForAnother(): void {
    this.#callOffWait ??= this.#room.clock.after(NEW_CHIEF_MS, () => void this.#chiefHasCome());
  }
  #chiefHasCome(): Promise<void> {
    this.#intake.chiefHasCome();
    return this.#room.look();
  }
}
