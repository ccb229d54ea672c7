import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import type { GradingId, PersonId } from "../../../src/book/identity.ts";
import type { Handed } from "../../../src/hub/room/handed.ts";
import { anIdOf } from "../../builders/a-pen.ts";
import { SPARE } from "../../world/chief.ts";
import { Dice } from "../../world/dice.ts";
import { LoosePage } from "../../world/loose-page.ts";
import { type HandIn, LyingHall } from "../../world/lying-hall.ts";
import type { Person } from "../../world/person.ts";
import type { PlayedDay, Seated } from "../oracle-book.ts";
import { BusyChief } from "./busy-chief.ts";
import { BusyCaller, BusyDesk, BusyJudge } from "./busy-people.ts";

const GRADING = "busy-test" as GradingId;
const ROUNDS = 60;
/** Everybody is back, the test is closed, and the day goes on for a while; in the last round whatever still waits is handed in. */
const LAST = ROUNDS + 12;

/** A day on which everything happens that may happen to a test; nobody lies, but some are out of the hub's reach for a while. */
export async function busyDay(seed: number): Promise<PlayedDay> {
  const dice = new Dice(seed, "busy day");
  const names = (what: string, count: number) =>
    Array.from({ length: count }, (_, index) => `${what}-${index + 1}`);
  const plan = {
    judges: names("judge", dice.whole(2, 3)) as PersonId[],
    candidates: names("candidate", dice.whole(2, 4)) as CandidateId[],
  };
  let ids = 0;
  let nowMs = 1_780_000_000_000;
  const hands: { person: Person; pages: LoosePage[] }[] = [];
  const join = (
    Kind: new (...made: ConstructorParameters<typeof Person>) => Person,
    name: string,
    roles: readonly [Role, ...Role[]],
    devices = 1,
  ) => {
    const parts = {
      grading: GRADING,
      hall: plan,
      makeId: () => anIdOf(++ids),
      nowMs: () => (nowMs += 1000),
      dice: new Dice(seed, name),
      onWrote: () => undefined,
    };
    const person = new Kind(name, roles, parts);
    const pages = names(`${name}-tablet`, devices).map(
      (device) => new LoosePage(GRADING, person.name, device, parts),
    );
    hands.push({ person, pages });
  };
  join(BusyChief, "chief", dice.falls(0.2) ? ["chief", "judge"] : ["chief"]);
  join(BusyCaller, "caller", dice.falls(0.2) ? ["caller", "desk"] : ["caller"]);
  join(BusyDesk, "desk", ["desk"]);
  for (const judge of plan.judges) join(BusyJudge, judge, ["judge"], dice.falls(0.2) ? 2 : 1);
  join(BusyJudge, SPARE, ["judge"]);

  const people: Seated[] = hands.map(({ person: { name, roles } }) => ({ person: name, roles }));
  const hall = await LyingHall.open(GRADING, people, false);
  const rounds: HandIn[][] = [];
  for (let at = 0; at <= LAST; at++) {
    const round: HandIn[] = [];
    const told: ((answer: Handed) => void)[] = [];
    for (const { person, pages } of hands)
      for (const page of pages) {
        if (at >= ROUNDS) page.isAway = false;
        else if (at > 0 && dice.falls(page.isAway ? 0.25 : 0.04)) page.isAway = !page.isAway;
        if (!page.isAway)
          page.hear(hall.feed({ person: person.name, roles: person.roles }, page.heard));
        act(person, page, at, dice);
        if (page.isAway) continue;
        const { entries, sides } = page.takeOutbox();
        if (entries.length === 0) continue;
        round.push({
          person: person.name,
          roles: person.roles,
          device: page.pass.device,
          alsoOn: pages.map(({ pass }) => pass.device),
          entries: JSON.parse(JSON.stringify(entries)),
          sides,
          isOut: false,
          isLiar: false,
        });
        told.push(({ refused }) => page.refused(refused.map(({ id }) => id)));
      }
    rounds.push(round);
    for (const [index, answer] of (await hall.play(round)).entries()) told[index]?.(answer);
  }
  return { grading: GRADING, people, rounds };
}

function act(person: Person, page: LoosePage, at: number, dice: Dice): void {
  if (at === 0) {
    if (person instanceof BusyChief) person.plan(page);
    return;
  }
  if (person instanceof BusyChief && at > ROUNDS && !page.book.plan.isClosed)
    void page.write("closed", {});
  // Not everybody has heard of the closing, and the chief has more to do after it.
  if (at === ROUNDS || at === LAST) return;
  for (let acts = dice.whole(0, 3); acts > 0; acts--) person.actOn(page);
}
