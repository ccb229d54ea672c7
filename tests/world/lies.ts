import { type EntryOf, isKnown } from "../../src/belt-test/scorebook/entry.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import type { Dice } from "./dice.ts";

const deep = (levels: number): unknown =>
  JSON.parse(`${'{"a":'.repeat(levels)}1${"}".repeat(levels)}`);
const OWN_PROTO = JSON.parse('{"__proto__":{"isChief":true}}') as object;

/** What no entry is, and what no canonical form has. */
export function garbled(dice: Dice): unknown {
  return dice.pick<() => unknown>([
    () => null,
    () => dice.whole(-5, 5),
    () => "entry",
    () => [],
    () => ({}),
    () => OWN_PROTO,
    () => deep(100),
    () => ({ id: "x".repeat(1000), n: dice.whole(1, 9), kind: "mark" }),
    () => ({ id: dice.whole(0, 9), n: Number.POSITIVE_INFINITY }),
  ])();
}

/** One true entry with one thing wrong. */
export function twisted(
  dice: Dice,
  entry: AnyEntry,
  { onDisk, others }: { onDisk: readonly AnyEntry[]; others: readonly DeviceId[] },
): unknown {
  const { lamport, n, body } = entry;
  const cells = (body as { cells?: object[] }).cells;
  const some = (): AnyEntry => (onDisk.length > 0 ? dice.pick(onDisk) : entry);
  const closing = onDisk.find(({ kind }) => kind === "closed")?.lamport ?? lamport;
  const withBody = (more: object) => ({ ...entry, body: { ...body, ...more } });
  const lie = dice.pick<() => unknown>([
    () => ({
      ...entry,
      lamport: dice.pick([1, Math.max(1, lamport - 50), Math.ceil(lamport / 2)]),
    }),
    () => ({ ...entry, lamport: lamport + dice.pick([50, 9_999, 10_001, 1e6]) }),
    () => ({ ...entry, lamport: dice.pick([2 ** 48, 2 ** 48 + 1, -1, 0, 1.5, 2 ** 60]) }),
    () => ({ ...entry, lamport: Math.max(1, closing - dice.whole(0, 2)) }),
    () => ({ ...entry, n: dice.pick([n + 1, n + 7, Math.max(1, n - 1), 1, 0, 2 ** 53, 2.5]) }),
    () => ({ ...entry, device: dice.pick([...others, some().device, "nobodys" as DeviceId]) }),
    () => ({ ...entry, by: some().by }),
    () => ({ ...entry, grading: "another-test" }),
    () => ({ ...entry, id: some().id }),
    () => ({ ...entry, replaces: [some().id, some().id] }),
    () => ({
      ...entry,
      kind: dice.pick(["held", "mark-of-next-year", "Mark", "closed", "constructor"]),
    }),
    () =>
      withBody({
        basis: dice.pick([
          {},
          { [entry.device]: n },
          { [entry.device]: 0 },
          { [some().device]: 99 },
        ]),
      }),
    () => withBody({ basis: { [entry.device]: n - 1, [some().device]: some().n } }),
    () => withBody({ answers: some().id }),
    () => withBody({ undoes: some().id }),
    () => withBody({ request: some().id }),
    () => withBody({ fat: "x".repeat(dice.pick([100, 5_000, 90_000])) }),
    () => withBody({ more: Number.POSITIVE_INFINITY }),
    () => withBody({ more: "\ud800" }),
    () => withBody({ "\udfff": 1 }),
    () => withBody({ more: OWN_PROTO }),
    () => withBody({ more: deep(100) }),
    () => withBody({ section: dice.pick(["blocks", "etiquette", "nowhere", "__proto__"]) }),
    () =>
      withBody({ candidate: dice.pick(["candidate-1", "candidate-2", "nobody", "constructor"]) }),
    () => ({ ...entry, at: dice.pick([Number.POSITIVE_INFINITY, Number.NaN, -1, 2 ** 70]) }),
    () =>
      cells
        ? withBody({
            cells: cells.map((cell) => ({
              ...cell,
              level: dice.pick([0, 1, 4, 7, 8, "not-seen", "cleared"]),
            })),
          })
        : entry,
    () =>
      cells
        ? withBody({
            cells: cells.map((cell) => ({
              ...cell,
              candidate: dice.pick(["candidate-1", "candidate-2"]),
            })),
          })
        : entry,
    () =>
      cells
        ? withBody({
            cells: [...cells, ...cells.map((cell) => ({ ...cell, candidate: "candidate-2" }))],
          })
        : entry,
  ]);
  return lie();
}

/** An entry nobody asked for. `basis: "own"` is the device's own count. */
export interface Forged {
  kind: string;
  body: Record<string, unknown>;
  lamport?: number;
}

/** What somebody might write who wants to see too early, to change what stands, or to keep others from being heard. */
export function forged(
  dice: Dice,
  { onDisk, me, locks }: { onDisk: readonly AnyEntry[]; me: PersonId; locks: readonly AnyEntry[] },
): Forged | undefined {
  const known = onDisk.filter(isKnown);
  const pick = <Kind extends AnyEntry["kind"]>(kind: Kind) => {
    const its = known.filter((entry) => entry.kind === kind);
    return its.length > 0
      ? (dice.pick(its) as EntryOf<Extract<(typeof its)[number]["kind"], Kind>>)
      : undefined;
  };
  const candidate = `candidate-${dice.whole(1, 3)}`;
  const section = dice.pick(["blocks", "etiquette"]);
  const judge = pick("assigned")?.body.judge ?? me;
  const old = dice.whole(1, Math.max(1, ...onDisk.slice(-1).map(({ lamport }) => lamport)));
  const closing = known.find(({ kind }) => kind === "closed")?.lamport;
  const reason = { id: "side-none", digest: "0".repeat(64) };
  const mark = (): Forged | undefined => {
    const mine = known.filter(
      (entry): entry is EntryOf<"mark"> => entry.kind === "mark" && entry.by === me,
    );
    const model = mine.length > 0 && dice.falls(0.8) ? dice.pick(mine) : pick("mark");
    if (!model) return undefined;
    const cells = model.body.cells.map((cell) => ({ ...cell, level: dice.whole(1, 2) }));
    const ask = dice.falls(0.3) ? pick("remark-asked") : undefined;
    const { section, item, side } = model.body;
    return {
      kind: "mark",
      body: { section, item, side, cells, ...(ask ? { answers: ask.id } : {}) },
    };
  };
  const past = (one: Forged | undefined): Forged | undefined =>
    one && { ...one, lamport: dice.pick([1, old, Math.max(1, (closing ?? old) - 1)]) };
  const lock = (): Forged => {
    const before = locks.length > 0 && dice.falls(0.6) ? dice.pick(locks) : undefined;
    const body = (before?.body ?? { section, candidates: [candidate] }) as Record<string, unknown>;
    return {
      kind: "locked",
      body: { ...body, basis: dice.pick(["own", "own", {}, body.basis ?? {}]) },
    };
  };
  return dice.pick<() => Forged | undefined>([
    mark,
    () => past(mark()),
    () => past(mark()),
    lock,
    lock,
    () => past(lock()),
    () => past(lock()),
    () => ({
      kind: "locked",
      body: { section, candidates: ["candidate-1", "candidate-2"], basis: "own" },
    }),
    () => ({ kind: "overall", body: { candidate, section, judgement: dice.whole(1, 4) } }),
    () => past({ kind: "overall", body: { candidate, section, judgement: dice.whole(1, 4) } }),
    () => ({
      kind: "answered",
      body: { request: pick("remark-asked")?.id ?? "none", candidate, section, basis: "own" },
    }),
    () => ({
      kind: "held",
      body: {
        of: pick("locked")?.id ?? "none",
        judge,
        candidate,
        section,
        basis: dice.pick<unknown>([{}, "own"]),
      },
    }),
    () => past({ kind: "recused", body: { candidate, section: dice.pick([section, null]) } }),
    () => (dice.falls(0.1) ? { kind: "recused", body: { candidate, section: null } } : undefined),
    () => past({ kind: "related", body: { candidate, relation: "family" } }),
    () => ({ kind: "revealed", body: { section, candidates: [candidate], reason } }),
    () => ({ kind: "closed", body: {} }),
    () => ({ kind: "seated", body: { person: me, roles: ["chief", "judge"] } }),
    () => past({ kind: "assigned", body: { judge: me, section, candidates: [candidate] } }),
    () => past({ kind: "judge-replaced", body: { judge, by: me } }),
    () => ({
      kind: "verdict",
      body: { candidate, result: "pass", computed: "pass", retestSections: [], basis: {} },
    }),
    () => ({
      kind: "review-settled",
      body: { question: `late/${me}/${section}`, candidate, decision: "late-counts", reason },
    }),
    () => ({ kind: "erased", body: { about: candidate } }),
    () => ({
      kind: "remark-asked",
      body: { judge: me, candidate, section, item: null, side: null, criterion: null, ask: "talk" },
    }),
    () => ({
      kind: "entered",
      body: {
        candidate,
        number: dice.whole(1, 9),
        rubric: dice.pick(["white-to-yellow-junior", "no-such"]),
      },
    }),
    () => ({ kind: dice.pick(["absent", "unfit", "expected", "checked-in"]), body: { candidate } }),
    () => ({
      kind: "excused",
      body: {
        candidate,
        section,
        item: dice.pick(["rising-block", "bows-in", "no-such"]),
        why: "age",
      },
    }),
    () => ({
      kind: "lanes-swapped",
      body: { wave: 1, candidates: ["candidate-1", "candidate-2"] },
    }),
    () => ({ kind: "called", body: { wave: dice.whole(1, 99), section, item: null, side: null } }),
    () => ({ kind: "anchor-marked", body: { anchor: "none", marks: [] } }),
    () => ({
      kind: "stopped",
      body: { wave: null },
      lamport: old + dice.pick([0, 9_999, 20_000, 2 ** 47]),
    }),
    () => ({ kind: "incident", body: { text: reason } }),
    () =>
      dice.falls(0.2)
        ? past({ kind: "withdrawn", body: { candidate, why: dice.pick(["hurt", null]) } })
        : undefined,
    () => ({
      kind: "mark-of-next-year",
      body: { level: 4, candidate },
      lamport: old + dice.pick([0, 9_999]),
    }),
  ])();
}
