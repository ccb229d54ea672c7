import type { DeviceId, PersonId } from "../../book/identity.ts";
import type { DoorQuestion } from "../../line/protocol.ts";

/** Whoever does not answer for so long may be away from their tablet: the chief may press again. Milliseconds. */
const ANSWER_WITHIN_MS = 60_000;

/** A device that waits until the person it wants to come in as says on another device of theirs that it is theirs. */
export interface Asked extends DoorQuestion {
  person: PersonId;
  /** Steady time at which it was first asked. */
  sinceMs: number;
  /** @param on  the device on which they said it */
  yes: (on: DeviceId) => Promise<unknown>;
  no: (on: DeviceId) => Promise<unknown>;
}

/**
 * What the hub asks people about a further device of theirs, in one test. Kept nowhere: at a hub that starts anew the chief presses again.
 */
export class DoorQuestions {
  readonly #open = new Map<DeviceId, Asked>();
  /** Devices of which the person said that they are not theirs, until they knock again. */
  readonly #denied = new Map<DeviceId, PersonId>();

  /** @returns the question as it stands: asked before of the same person, its time runs on. */
  ask(asked: Asked): Asked {
    const before = this.#open.get(asked.device);
    this.#denied.delete(asked.device);
    // Pressed again with other roles, the yes is to those.
    const { sinceMs } = before?.person === asked.person ? before : asked;
    const now = { ...asked, sinceMs };
    this.#open.set(asked.device, now);
    return now;
  }
  of(device: DeviceId): Asked | undefined {
    return this.#open.get(device);
  }
  /** Who said that this device is not theirs. */
  deniedBy(device: DeviceId): PersonId | undefined {
    return this.#denied.get(device);
  }
  /** What a person is asked, for the glass of one of their devices. */
  to(person: PersonId): DoorQuestion[] {
    return [...this.#open.values()].flatMap(({ person: asked, device, name }) =>
      asked === person ? [{ device, name }] : [],
    );
  }
  isOverdue({ sinceMs }: Asked, steadyMs: number): boolean {
    return steadyMs - sinceMs >= ANSWER_WITHIN_MS;
  }
  /** An answer that only one of the person's other devices can give, once. */
  async answer(
    by: { person: PersonId; device: DeviceId },
    device: DeviceId,
    isYes: boolean,
  ): Promise<void> {
    const asked = this.#open.get(device);
    if (!asked || asked.person !== by.person || by.device === device) return;
    this.#open.delete(device);
    if (isYes) await asked.yes(by.device);
    else {
      await asked.no(by.device);
      this.#denied.set(device, by.person);
    }
  }
  /** It was let in, sent off, or knocked anew: nobody is asked about it any more. @returns whether somebody was. */
  forget(device: DeviceId): boolean {
    this.#denied.delete(device);
    return this.#open.delete(device);
  }
}
