import type { Entry } from "../../src/belt-test/scorebook/entry.ts";
import type { AnyEntry } from "../../src/book/entry.ts";

interface Recipient {
  person: string;
  roles: readonly string[];
}
interface Judgement {
  by: string;
  /** candidate/section, each. */
  places: string[];
  isOpen: boolean;
}
type Readers = "anyone" | readonly string[];

/** Section 5 of the design, written down once more: who is sent what, besides its writer. What is not here goes to nobody. */
const readers: Record<string, Readers> = {
  ...Object.fromEntries(
    [
      ...[
        "rubric-replaced",
        "opened",
        "frozen",
        "seated",
        "assigned",
        "judge-replaced",
        "entered",
        "lined-up",
      ],
      ...["started", "closed", "checked-in", "absent", "unfit", "expected", "excused"],
      ...[
        "erased",
        "called",
        "paused",
        "resumed",
        "lanes-swapped",
        "stopped",
        "withdrawn",
        "floor-cleared",
      ],
    ].map((kind) => [kind, "anyone" as const]),
  ),
  recused: ["chief", "caller"],
  revealed: ["chief", "judge"],
  "sheet-released": ["chief", "desk"],
  ...Object.fromEntries(
    [
      "related",
      "let-in",
      "incident",
      "remark-asked",
      "review-settled",
      "verdict",
      "correction",
    ].map((kind) => [kind, ["chief"]]),
  ),
};
const judging: ReadonlySet<string> = new Set([
  ...["mark", "overall", "faults", "note"],
  ...["locked", "answered", "held"],
]);

/** What a text of this world says of itself, so that it is found in raw bytes wherever it stands. */
export const secretOf = (whose: "chief" | "desk", what: string): string =>
  `secret.${whose}.${what}`;
const SECRETS = /secret\.(chief|desk)\.[\w-]+/g;
/** Every judgement carries a name of its own in a key that the app does not know and keeps untouched. */
export const CANARY = "canary";
const CANARIES = /canary":"([\w-]+)"/g;

/**
 * Knows from the committed entries alone what may leave the hub for whom.
 * Shares no code with what it checks: it counts assignments, locks and recusals itself.
 */
export class SightOracle {
  /** Each with the logical time at which it was so first: what was offline comes later than what it knew nothing of. */
  readonly #assigned = new Map<string, Map<string, number>>();
  readonly #successor = new Map<string, { by: string; since: number }>();
  readonly #recused = new Map<string, number>();
  readonly #locked = new Map<string, number>();
  /** What was open once stays open. */
  readonly #open = new Set<string>();
  #isClosed = false;
  readonly #judgements = new Map<string, Judgement>();
  readonly #closed = new Set<Judgement>();

  /** Takes note of what is on the hub's disk now. */
  committed(entry: Entry): void {
    switch (entry.kind) {
      case "assigned":
        for (const candidate of entry.body.candidates) {
          const place = `${candidate}/${entry.body.section}`;
          const judges = this.#assigned.get(place) ?? new Map<string, number>();
          this.#assigned.set(place, judges);
          noteFirst(judges, entry.body.judge, entry.lamport);
        }
        break;
      case "judge-replaced":
        this.#successor.set(entry.body.judge, { by: entry.body.by, since: entry.lamport });
        break;
      case "recused":
        noteFirst(
          this.#recused,
          `${entry.by}/${entry.body.candidate}/${entry.body.section ?? "*"}`,
          entry.lamport,
        );
        break;
      case "locked":
        for (const candidate of entry.body.candidates)
          noteFirst(this.#locked, `${entry.by}/${candidate}/${entry.body.section}`, entry.lamport);
        this.#judged(
          entry,
          entry.body.candidates.map((candidate) => `${candidate}/${entry.body.section}`),
        );
        break;
      case "closed":
        this.#isClosed = true;
        break;
      case "answered":
      case "held":
        this.#judged(entry, [`${entry.body.candidate}/${entry.body.section}`]);
        return;
      case "revealed":
        for (const candidate of entry.body.candidates)
          this.#open.add(`${candidate}/${entry.body.section}`);
        break;
      case "mark":
        this.#judged(
          entry,
          entry.body.cells.map(({ candidate }) => `${candidate}/${entry.body.section}`),
        );
        return;
      case "overall":
      case "faults":
      case "note":
        this.#judged(entry, [`${entry.body.candidate}/${entry.body.section}`]);
        return;
      default:
        return;
    }
    // What was open once stays open.
    for (const judgement of this.#closed) {
      if (!judgement.places.every((place) => this.isRevealed(place))) continue;
      judgement.isOpen = true;
      this.#closed.delete(judgement);
    }
  }

  /** Of a kind that nobody knows: its writer's alone. */
  unknown({ id, by, body }: AnyEntry): void {
    const judgement = { by, places: [], isOpen: false };
    this.#judgements.set(id, judgement);
    const canary = body[CANARY];
    if (typeof canary === "string") this.#judgements.set(canary, judgement);
  }

  #judged({ id, by, body }: Entry, places: string[]): void {
    const isOpen = places.every((place) => this.isRevealed(place));
    const judgement = { by, places, isOpen };
    if (!isOpen) this.#closed.add(judgement);
    this.#judgements.set(id, judgement);
    const canary = (body as Record<string, unknown>)[CANARY];
    if (typeof canary === "string") this.#judgements.set(canary, judgement);
  }

  /**
   * At some logical moment everybody who was to judge there then, or had that place before, had locked or stepped back; or the chief has opened it,
   * or closed the test. `place`: candidate/section.
   */
  isRevealed(place: string): boolean {
    if (this.#isClosed || this.#open.has(place)) return true;
    const judges = [...(this.#assigned.get(place) ?? [])];
    const moments = [
      ...[...this.#locked].flatMap(([key, at]) => (key.endsWith(`/${place}`) ? at : [])),
      ...this.#recused.values(),
      ...[...this.#successor.values()].map(({ since }) => since),
      ...judges.map(([, since]) => since),
    ];
    const isOpen = moments.some((moment) => this.#isDone(place, judges, moment));
    if (isOpen) this.#open.add(place);
    return isOpen;
  }
  #isDone(place: string, judges: readonly [string, number][], at: number): boolean {
    const [candidate = "", section = ""] = place.split("/");
    const was = (known: ReadonlyMap<string, number>, key: string) =>
      (known.get(key) ?? Number.POSITIVE_INFINITY) <= at;
    let isLocked = false;
    for (const [first, since] of judges) {
      if (since > at) continue;
      const seat = [first];
      for (let next = this.#successor.get(first); next && next.since <= at; ) {
        if (seat.includes(next.by)) break;
        next = this.#successor.get(seat[seat.push(next.by) - 1] ?? "");
      }
      const last = seat.at(-1) ?? first;
      if (seat.some((judge) => was(this.#locked, `${judge}/${place}`))) isLocked = true;
      else if (
        !was(this.#recused, `${last}/${candidate}/${section}`) &&
        !was(this.#recused, `${last}/${candidate}/*`)
      )
        return false;
    }
    return isLocked;
  }

  /** `place`: candidate/section. */
  hasLocked(person: string, place: string): boolean {
    return this.#locked.has(`${person}/${place}`);
  }

  /** Whether this recipient may have this entry now. */
  maySee(recipient: Recipient, entry: AnyEntry): boolean {
    const { person, roles } = recipient;
    if (entry.by === person) return true;
    if (judging.has(entry.kind)) {
      const judgement = this.#judgements.get(entry.id);
      return judgement?.isOpen === true && this.#mayJudge(recipient, judgement);
    }
    if (entry.kind === "remark-asked" && entry.body.judge === person) return true;
    if (entry.kind === "let-in" && entry.body.person === person) return true;
    const its = readers[entry.kind];
    return its === "anyone" || (its?.some((role) => roles.includes(role)) ?? false);
  }

  /** The chief; and a judge who has locked the same. */
  #mayJudge({ person, roles }: Recipient, { places }: Judgement): boolean {
    if (roles.includes("chief")) return true;
    return (
      roles.includes("judge") && places.every((place) => this.#locked.has(`${person}/${place}`))
    );
  }

  /** What in these bytes is not for this recipient; nothing when all is well. */
  leaksIn(recipient: Recipient, text: string): string[] {
    const { person, roles } = recipient;
    const leaks: string[] = [];
    for (const [secret, whose] of text.matchAll(SECRETS)) {
      const isIts = roles.includes("chief") || (whose === "desk" && roles.includes("desk"));
      if (!isIts) leaks.push(secret);
    }
    for (const [, id = ""] of text.matchAll(CANARIES)) {
      const judgement = this.#judgements.get(id);
      const isIts = judgement?.by === person;
      if (!isIts && !(judgement?.isOpen && this.#mayJudge(recipient, judgement)))
        leaks.push(`judgement ${id}`);
    }
    return leaks;
  }
}

function noteFirst(known: Map<string, number>, key: string, at: number): void {
  known.set(key, Math.min(at, known.get(key) ?? at));
}
