import type { CandidateId } from "../../belt-test/identity.ts";
import type { Role } from "../../belt-test/kinds/body-parts.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { FaultError } from "../../book/faults.ts";
import type { DeviceId, GradingId, PersonId } from "../../book/identity.ts";
import type { Clock } from "../../ports/clock.ts";
import type { DeviceRow } from "../../ports/door-tables.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { HUB } from "../test-room/hub-pen.ts";
import { letInLine } from "../test-room/let-in-line.ts";
import type { Hall } from "./hall.ts";
import type { Halls } from "./halls.ts";

interface As {
  person?: PersonId | undefined;
  roles: readonly Role[];
}
/** Let in, or it waits until the person says yes on another device of theirs. */
export type Admission = { person: PersonId; state: "admitted" | "asked" };

/**
 * How a chief lets devices in. Who comes in as somebody that has or had a device here would read that person's closed marks and write in their name,
 * so the book says it and the person is told; while a device of theirs is on the line, they say yes first.
 */
export class Admissions {
  readonly #desk: FrontDesk;
  readonly #halls: Halls;
  readonly #clock: Clock;
  #last: Promise<unknown> = Promise.resolve();

  constructor(desk: FrontDesk, halls: Halls, clock: Clock) {
    this.#desk = desk;
    this.#halls = halls;
    this.#clock = clock;
  }

  /** One at a time: of two that come in as the same person the second is the further one. */
  admit(grading: GradingId, device: DeviceId, as: As, byToken: string): Promise<Admission> {
    const before = this.#last;
    const admission = before.then(() => this.#admit(grading, device, as, byToken));
    this.#last = admission.catch(() => undefined);
    return admission;
  }
  async #admit(grading: GradingId, device: DeviceId, as: As, byToken: string): Promise<Admission> {
    const { row, person, by } = await this.#desk.wouldAdmit(grading, device, as, byToken);
    const { room, hall } = await this.#halls.hall(grading);
    // Erasing a candidate, or what the hub says in its own name, is not to be somebody's of the panel.
    if (room.book.plan.entrant(person as string as CandidateId) || person === HUB)
      throw new FaultError({ code: "NOT_YOURS" });
    if (room.book.plan.seat(person)?.roles.includes("chief") && person !== by)
      await this.#desk.mustBeHubsChief(byToken);
    const isOtherRole = row.state === "admitted" && row.person === person;
    // Who waits outside comes in as something.
    if (as.roles.length === 0 && !isOtherRole) throw new FaultError({ code: "NOT_ADMITTED" });
    const letIn = () => this.#desk.admit(grading, device, { ...as, person });
    const isFirst = async () =>
      !hasWritten(room.book, person) && (await this.#desk.isFirst(grading, person, device));
    if (isOtherRole || (await isFirst())) {
      await letIn();
      return { person, state: "admitted" };
    }
    const enter = async (agreed: boolean) => {
      await this.#note(hall, row, { person, decidedBy: by, agreed });
      await letIn();
    };
    await hall.hasHeardOthers();
    if (person === by || !this.#mustAsk(hall, row, person)) {
      await enter(false);
      return { person, state: "admitted" };
    }
    hall.ask({
      device,
      name: row.name,
      person,
      sinceMs: this.#clock.steadyMs(),
      // Whose word it was may have been shut out meanwhile.
      yes: async () => {
        await this.#desk.wouldAdmit(grading, device, { person }, byToken);
        await enter(true);
      },
      no: () => this.#desk.refuse(grading, device),
    });
    return { person, state: "asked" };
  }

  /** Nobody is asked whose tablets are all away, or who was asked and gave no answer in time. */
  #mustAsk(hall: Hall, { device }: DeviceRow, person: PersonId): boolean {
    if (!hall.isHere(person, device)) return false;
    const asked = hall.questions.of(device);
    return !(asked?.person === person && hall.questions.isOverdue(asked, this.#clock.steadyMs()));
  }

  /** In the book first: nobody comes in of whom it does not say so. */
  async #note(
    { room }: Hall,
    { grading, device }: DeviceRow,
    said: { person: PersonId; decidedBy: PersonId; agreed: boolean },
  ): Promise<void> {
    const { person, decidedBy, agreed } = said;
    const body = { person, device, decidedBy, ...(agreed ? { agreed } : {}) };
    const { author, entry } = letInLine(room.book, grading, body, this.#clock.nowMs());
    const { refused } = await room.handIn(author, [entry]);
    const [first] = refused;
    if (first) throw new FaultError(first.fault);
  }
}

/** Also where the door, put back from an older copy, knows nothing of the device they wrote on. */
function hasWritten(book: Scorebook, person: PersonId): boolean {
  for (const entry of book.entries()) if (entry.by === person) return true;
  return false;
}
