import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { GradingId, PersonId } from "../../src/book/identity.ts";
import type { Handed } from "../../src/hub/room/handed.ts";
import { anIdOf } from "../builders/a-pen.ts";
import { Chief, SPARE } from "./chief.ts";
import { Dice } from "./dice.ts";
import { Caller, Desk } from "./floor.ts";
import { Judge } from "./judge.ts";
import { Liar } from "./liar.ts";
import { LoosePage } from "./loose-page.ts";
import { type HandIn, type Looker, LyingHall, nameOf, placesOf, type Round } from "./lying-hall.ts";
import { otherLevels } from "./other-levels.ts";
import type { HallPlan, Person } from "./person.ts";

const GRADING = "lying-test" as GradingId;
const ROUNDS = 40;
/** At the end everybody is back, the test is closed, and whatever still waits is handed in. */
const LAST_ROUNDS = 6;

/** Who lies. An ended chief's devices still hand in; one who is chief no more has another role by now. */
export const LIARS = ["judge", "spare", "caller", "desk", "ended-chief", "old-chief"] as const;

export interface LyingDay {
  seed: number;
  liar: (typeof LIARS)[number];
  /** What was promised and not kept. */
  broken: string[];
  entries: number;
  lies: number;
  liesTaken: number;
  /** Why anything of the liar's was refused; the same of honest people. */
  refusedLies: Map<string, number>;
  refusedHonest: Map<string, number>;
  isAllOpen: boolean;
  /** Places whose marks were exchanged to see whether somebody could tell. */
  exchanged: number;
}

interface Hand {
  person: Person;
  pages: LoosePage[];
}

/** Plays one day out of a seed, with one liar in it; then the same without the liar, and the same with other marks of one judge. */
export async function playLyingDay(seed: number): Promise<LyingDay> {
  const day = new Day(seed);
  await day.play();
  return day.report();
}

/** The same day played once, and what everybody handed in, for whoever plays it again elsewhere. */
export async function lyingRounds(
  seed: number,
): Promise<{ grading: GradingId; people: readonly Looker[]; rounds: readonly Round[] }> {
  const day = new Day(seed);
  await day.playWithTheLiar();
  return day.told();
}

class Day {
  readonly #seed: number;
  readonly #dice: Dice;
  readonly #hands: Hand[] = [];
  readonly #liar: Liar;
  readonly #kind: (typeof LIARS)[number];
  readonly #lookers: Looker[] = [];
  readonly #rounds: Round[] = [];
  readonly #plan: HallPlan;
  readonly #broken: string[] = [];
  #hall: LyingHall | undefined;
  #ids = 0;
  #nowMs = 1_780_000_000_000;
  #exchanged = 0;

  constructor(seed: number) {
    this.#seed = seed;
    this.#dice = new Dice(seed, "lying day");
    const dice = new Dice(seed, "size");
    this.#kind = dice.pick(LIARS);
    const judges = names("judge", dice.whole(2, 3));
    this.#plan = {
      judges: judges as PersonId[],
      candidates: names("candidate", dice.whole(1, 2)) as CandidateId[],
    };
    this.#join(Chief, "chief", ["chief"]);
    this.#join(Caller, "caller", ["caller"]);
    this.#join(Desk, "desk", ["desk"]);
    for (const judge of judges) this.#join(Judge, judge, ["judge"]);
    this.#join(Judge, SPARE, ["judge"]);
    this.#liar = this.#makeLiar();
  }

  #makeId = (): string => anIdOf(++this.#ids);
  #parts(name: string) {
    return {
      grading: GRADING,
      hall: this.#plan,
      makeId: this.#makeId,
      nowMs: () => (this.#nowMs += 1000),
      dice: new Dice(this.#seed, name),
      onWrote: () => undefined,
    };
  }
  #join(
    Kind: new (...made: ConstructorParameters<typeof Person>) => Person,
    name: string,
    roles: readonly [Role, ...Role[]],
  ): void {
    const parts = this.#parts(name);
    const person = new Kind(name, roles, parts);
    const devices = name.startsWith("judge-") && parts.dice.falls(0.15) ? 2 : 1;
    const pages = Array.from(
      { length: devices },
      (_, index) => new LoosePage(GRADING, person.name, `${name}-tablet-${index + 1}`, parts),
    );
    this.#hands.push({ person, pages });
    this.#lookers.push({ person: person.name, roles });
  }
  /** One of the panel turns; or somebody more is in under the name of a role. */
  #makeLiar(): Liar {
    const kind = this.#kind;
    const name = { judge: "judge-1", spare: SPARE, caller: "caller", desk: "desk" }[
      kind as "judge"
    ];
    if (name) {
      const at = this.#hands.findIndex(({ person }) => person.name === name);
      const [hand] = this.#hands.splice(at, 1);
      if (hand) return new Liar(hand.person, this.#parts(`${name} lies`));
    }
    const parts = this.#parts("a chief of before");
    const role = kind === "ended-chief" ? "chief" : parts.dice.pick(["desk", "caller"] as const);
    return new Liar(new Chief("chief-before", [role], parts), parts);
  }

  async play(): Promise<void> {
    const hall = await this.playWithTheLiar();
    await hall.judgeTheEnd();
    this.#broken.push(...hall.broken);
    await this.#playWithoutTheLiar(hall);
    await this.#playWithOtherLevels(hall);
  }

  async playWithTheLiar(): Promise<LyingHall> {
    const hall = (this.#hall = await LyingHall.open(GRADING, this.#lookers, true));
    const chief = this.#hands[0] as Hand;
    (chief.person as Chief).plan(chief.pages[0] as LoosePage);
    for (let round = 0; round < ROUNDS + LAST_ROUNDS; round++) {
      const isLast = round >= ROUNDS;
      await this.#playRound(hall, round, isLast);
    }
    return hall;
  }

  told(): { grading: GradingId; people: readonly Looker[]; rounds: readonly Round[] } {
    const { name: person, roles } = this.#liar;
    // One of the panel who turns is a looker already.
    const isLooker = this.#lookers.some((one) => one.person === person);
    const people = isLooker ? this.#lookers : [...this.#lookers, { person, roles }];
    return { grading: GRADING, people, rounds: this.#rounds };
  }

  async #playRound(hall: LyingHall, at: number, isLast: boolean): Promise<void> {
    const dice = this.#dice;
    const round: HandIn[] = [];
    const told: (((answer: Handed) => void) | undefined)[] = [];
    for (const { person, pages } of this.#hands) {
      const looker = { person: person.name, roles: person.roles };
      for (const page of pages) {
        if (isLast) page.isAway = false;
        else if (at > 0 && dice.falls(page.isAway ? 0.2 : 0.04)) page.isAway = !page.isAway;
        if (!page.isAway) page.hear(hall.feed(looker, page.heard));
        if (at > 0 && !isLast)
          for (let acts = dice.whole(0, 4); acts > 0; acts--) person.actOn(page);
        if (isLast && person.name === "chief" && !page.book.plan.isClosed && at > ROUNDS)
          void page.write("closed", {});
        if (page.isAway) continue;
        const { entries, sides } = page.takeOutbox();
        if (entries.length === 0) continue;
        round.push({
          ...looker,
          device: page.pass.device,
          alsoOn: pages.map(({ pass }) => pass.device),
          entries: JSON.parse(JSON.stringify(entries)),
          sides,
          isOut: false,
          isLiar: false,
        });
        told.push(({ refused }) => page.refused(refused.map(({ id }) => id)));
      }
    }
    if (at > 0) {
      const liar = this.#liar;
      for (const { page } of liar.devices)
        page.hear(hall.feed({ person: liar.name, roles: liar.roles }, page.heard));
      const { device, entries, sides } = liar.act(hall.onDisk, {
        entries: round.flatMap((one) => one.entries as AnyEntry[]),
        sides: round.flatMap((one) => one.sides),
      });
      if (entries.length > 0) {
        const place = dice.whole(0, round.length);
        round.splice(place, 0, {
          person: liar.name,
          roles: liar.roles,
          device: device.page.pass.device,
          alsoOn: liar.devices.map(({ page }) => page.pass.device),
          entries,
          sides,
          isOut: this.#kind === "ended-chief",
          isLiar: true,
        });
        told.splice(place, 0, (answer) => liar.heard(device, answer));
      }
    }
    this.#rounds.push(round);
    const answers = await hall.play(round);
    for (const [index, answer] of answers.entries()) told[index]?.(answer);
  }

  /** Whatever was acknowledged to anybody honest without the liar is acknowledged with the liar there. */
  async #playWithoutTheLiar(hall: LyingHall): Promise<void> {
    const alone = await LyingHall.open(GRADING, this.#lookers, false);
    const honest = (round: Round) => round.filter(({ isLiar }) => !isLiar);
    const keptAlone = new Set<string>();
    // With the liar there a judge may have locked who would not have: what one's own lock shuts out is nobody's cost.
    const isByOwnLock = (entry: AnyEntry | undefined) =>
      hall.onDisk.some(
        (other) =>
          other.kind === "locked" &&
          other.by === entry?.by &&
          !keptAlone.has(other.id) &&
          placesOf(other).some((place) => placesOf(entry).includes(place)),
      );
    // After a liar's leaps the chief's closing bears a count that is too high where nobody leapt.
    const isByOwnClosing = () =>
      hall.onDisk.some(
        ({ kind, by, id }) => kind === "closed" && by === "chief" && !keptAlone.has(id),
      );
    // Where whoever had the place before had locked, nobody waits for the successor's lock.
    const isSpokenFor = (entry: AnyEntry | undefined) =>
      entry?.kind === "locked" &&
      hall.onDisk.some(
        (other) =>
          other.kind === "locked" &&
          hall.all.panel.predecessors(entry.by).includes(other.by) &&
          placesOf(other).some((place) => placesOf(entry).includes(place)),
      );
    for (const [index, round] of this.#rounds.entries()) {
      const without = (await alone.play(honest(round))).flatMap(({ kept }) => kept);
      const answers = (hall.answers[index] ?? []).filter((_, place) => !round[place]?.isLiar);
      const kept = new Set(answers.flatMap((one) => one.kept));
      for (const id of without) keptAlone.add(id);
      for (const id of without) {
        if (kept.has(id)) continue;
        const refused = answers.flatMap((one) => one.refused).find((one) => one.id === id);
        const entry = round
          .flatMap(({ entries }) => entries as AnyEntry[])
          .find((one) => one?.id === id);
        if (refused?.fault.code === "ALREADY_LOCKED" && isByOwnLock(entry)) continue;
        if (refused?.fault.code === "SECTION_OPEN" && isSpokenFor(entry)) continue;
        if (refused?.fault.code === "GRADING_CLOSED" && isByOwnClosing()) continue;
        // Whoever lies may also have locked as they should, and opened what the chief then plans anew.
        if (refused?.fault.code === "SECTION_OPEN" && entry?.kind === "assigned") continue;
        // ... or opens by hand: it is open.
        if (refused?.fault.code === "SECTION_OPEN" && entry?.kind === "revealed") continue;
        // ... and of whom all is open then only the chief says that they are away.
        if (refused?.fault.code === "MARKED_TO_THE_END") continue;
        this.#broken.push(
          `round ${index + 1}: the liar cost ${entry?.by} a ${entry?.kind}: ${JSON.stringify(refused?.fault)}`,
        );
      }
    }
    this.#broken.push(...alone.broken);
  }

  /** Nobody can tell from all they were sent which levels another gave in a section that was not opened yet. */
  async #playWithOtherLevels(hall: LyingHall): Promise<void> {
    const dice = new Dice(this.#seed, "other levels");
    const judge = dice.pick(this.#plan.judges);
    const candidate = dice.pick(this.#plan.candidates);
    const section = dice.pick(["blocks", "etiquette"]);
    const until = hall.openedIn.get(`${candidate}/${section}`) ?? Number.POSITIVE_INFINITY;
    const other = await LyingHall.open(GRADING, this.#lookers, false);
    for (const [index, round] of this.#rounds.entries()) {
      if (index + 1 >= until) break;
      await other.play(round.map((one) => otherLevels(one, { judge, candidate, section })));
    }
    this.#exchanged++;
    for (const looker of this.#lookers) {
      if (looker.person === judge) continue;
      const name = nameOf(looker);
      const [was, is] = [hall.sent.get(name) ?? [], other.sent.get(name) ?? []];
      const at = is.findIndex((bytes, index) => bytes !== was[index]);
      if (at < 0) continue;
      this.#broken.push(
        `round ${at + 1}: ${name} can tell what ${judge} gave in ${candidate}/${section}: ${was[at]} or ${is[at]}`,
      );
    }
  }

  report(): LyingDay {
    const hall = this.#hall as LyingHall;
    const refusedLies = new Map<string, number>();
    const refusedHonest = new Map<string, number>();
    let lies = 0;
    let liesTaken = 0;
    for (const [index, round] of this.#rounds.entries())
      for (const [place, { isLiar, entries }] of round.entries()) {
        const answer = hall.answers[index]?.[place];
        if (isLiar) {
          lies += entries.length;
          liesTaken += answer?.kept.length ?? 0;
        }
        const codes = isLiar ? refusedLies : refusedHonest;
        for (const { fault } of answer?.refused ?? [])
          codes.set(fault.code, (codes.get(fault.code) ?? 0) + 1);
      }
    return {
      seed: this.#seed,
      liar: this.#kind,
      broken: this.#broken.slice(0, 10),
      entries: hall.onDisk.length,
      lies,
      liesTaken,
      refusedLies,
      refusedHonest,
      isAllOpen: this.#plan.candidates.every((one) =>
        ["blocks", "etiquette"].every((section) => hall.openedIn.has(`${one}/${section}`)),
      ),
      exchanged: this.#exchanged,
    };
  }
}

const names = (what: string, count: number): string[] =>
  Array.from({ length: count }, (_, index) => `${what}-${index + 1}`);
