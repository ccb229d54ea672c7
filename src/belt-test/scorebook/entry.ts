import * as z from "zod/mini";
import {
  AnchorId,
  CandidateId,
  CountId,
  CriterionId,
  DeviceId,
  EntryId,
  FaultId,
  GradingId,
  ItemId,
  PersonId,
  RubricId,
  SectionId,
  SideRecordId,
} from "../../book/identity.ts";
import { isPlainJson } from "../../book/plain-json.ts";
import { FaultLibrary } from "../rubric/fault-library.ts";
import { Rubric, Side } from "../rubric/rubric.ts";

/** Left and right are the candidate's own, whichever way they face. */

export const Role = z.enum(["judge", "caller", "desk", "chief"]);
export type Role = z.infer<typeof Role>;

/** Words that name or describe a person are kept outside the entries, so that they can be erased: see side-record.ts. */
export const TextRef = z.looseObject({
  id: SideRecordId,
  digest: z.string().check(z.regex(/^[0-9a-f]{64}$/)),
});
export type TextRef = z.infer<typeof TextRef>;

/**
 * What a judge says of one cell: a level of the scale (1 is the lowest), `not-seen` (a judgement: I did not see it),
 * or `cleared` (blank again). Blank is blank: a cell nobody wrote has no mark at all.
 */
export const MarkValue = z.union([
  z.int().check(z.gte(1), z.lte(7)),
  z.literal("not-seen"),
  z.literal("cleared"),
]);
export type MarkValue = z.infer<typeof MarkValue>;
/** `tapped`: this very cell was chosen. `rest`: confirmed by “rest meets”, and carries less information. */
export const How = z.enum(["tapped", "rest"]);
export type How = z.infer<typeof How>;

const Cell = z.looseObject({
  candidate: CandidateId,
  criterion: CriterionId,
  level: MarkValue,
  how: How,
});

/** The place a mark is for. `item: null` is a criterion marked once a section. */
const where = { section: SectionId, item: z.nullable(ItemId), side: z.nullable(Side) };

/** Marks of an anchor performance: one section of one rubric, nobody's test. */
const anchorMarks = z
  .array(
    z.looseObject({
      item: z.nullable(ItemId),
      side: z.nullable(Side),
      criterion: CriterionId,
      level: z.int().check(z.gte(1), z.lte(7)),
    }),
  )
  .check(z.maxLength(400));
const inLevels = z.number().check(z.gte(-7), z.lte(7));

/** Highest `n` known of each count of each device. */
export const Basis = z.record(CountId, z.int().check(z.gte(0)));
export type Basis = z.infer<typeof Basis>;

/** Entries that one act wrote, such as “rest of line”: one a child, taken back as one. */
const together = { batch: z.optional(z.string().check(z.minLength(1), z.maxLength(64))) };
/** After a lock a mark counts only where it answers this request. */
const answering = { answers: z.optional(EntryId) };

/**
 * Every kind of entry and its body. Bodies are read tolerantly: keys this version does not know are kept untouched,
 * so that a tablet of last year and a hub of this year lose nothing.
 */
const bodies = {
  // ── the plan (chief examiner) ──────────────────────────────────────────────
  opened: z.looseObject({
    title: z.string().check(z.minLength(1), z.maxLength(120)),
    date: z.iso.date(),
    example: z.optional(z.boolean()),
    /** By which rules this book is read for ever; see rules.ts. */
    rules: z.optional(z.int().check(z.gte(1))),
  }),
  /** One rubric, frozen for this grading: whole, so that the scorebook explains itself for ever. */
  frozen: z.looseObject({ rubric: Rubric }),
  /** The faults, cues and practice words this grading speaks with, whole: a sheet printed years later reads the same. */
  "faults-frozen": z.looseObject({ library: FaultLibrary }),
  "rubric-replaced": z.looseObject({ rubric: Rubric, reason: TextRef }),
  seated: z.looseObject({ person: PersonId, roles: z.array(Role), details: z.optional(TextRef) }),
  /** Which candidates a judge marks in a section; `items` and `criteria` narrow it where a panel splits the work. */
  assigned: z.looseObject({
    judge: PersonId,
    section: SectionId,
    candidates: z.array(CandidateId),
    items: z.optional(z.array(ItemId)),
    criteria: z.optional(z.array(CriterionId)),
    /** With a wave, the newest entry of this judge, section and wave stands alone, so that a judge can be taken off; without, entries add up. */
    wave: z.optional(z.int().check(z.gte(1), z.lte(99))),
  }),
  /** `basis`: what the chief's device held of the one replaced; only where there is no hub, which says so itself (`held`). */
  "judge-replaced": z.looseObject({ judge: PersonId, by: PersonId, basis: z.optional(Basis) }),
  entered: z.looseObject({
    candidate: CandidateId,
    number: z.int().check(z.gte(1), z.lte(9999)),
    rubric: RubricId,
    /** What only chief and desk are sent: family name, year of birth, contact. In books from before it holds the given name too. */
    details: z.optional(TextRef),
    /** Given name and how to say it, a record of its own, so that nobody is sent part of one and a digest of the whole. */
    given: z.optional(TextRef),
    /** Needed where the chief gives another rubric to a child who was called or marked. */
    reason: z.optional(TextRef),
  }),
  /** Who stands in which lane, left to right as seen from the judges' table. */
  "lined-up": z.looseObject({
    wave: z.int().check(z.gte(1), z.lte(99)),
    lanes: z.array(CandidateId),
  }),
  started: z.looseObject({}),
  /** Nothing more is marked. `reason`: needed when something was still open. */
  closed: z.looseObject({
    reason: z.optional(TextRef),
    /** What the chief's device had of everybody, so that a hub which has lost it can tell what comes again from what comes late. */
    basis: z.optional(Basis),
  }),

  // ── the desk ───────────────────────────────────────────────────────────────
  "checked-in": z.looseObject({ candidate: CandidateId }),
  absent: z.looseObject({ candidate: CandidateId }),
  unfit: z.looseObject({ candidate: CandidateId, details: z.optional(TextRef) }),
  /** Back to “expected”: the desk pressed the wrong name. */
  expected: z.looseObject({ candidate: CandidateId }),
  excused: z.looseObject({
    candidate: CandidateId,
    section: SectionId,
    item: ItemId,
    /** In books from before: everybody is sent an entry, and why is the chief's to know. */
    why: z.optional(z.catch(z.enum(["age", "accommodation", "chief"]), "chief")),
    reason: z.optional(TextRef),
  }),

  // ── the call ───────────────────────────────────────────────────────────────
  /** `item: null` calls for the once-a-section criteria and the overall judgement. */
  called: z.looseObject({
    wave: z.int().check(z.gte(1), z.lte(99)),
    ...where,
    repeat: z.optional(z.boolean()),
    /** In a `single` section: who is on the floor now. */
    candidates: z.optional(z.array(CandidateId)),
  }),
  paused: z.looseObject({}),
  resumed: z.looseObject({}),
  /** Two children stand in each other's place. Names are swapped from here on. */
  "lanes-swapped": z.looseObject({
    wave: z.int(),
    candidates: z.tuple([CandidateId, CandidateId]),
    /** A judge's swap, taken back by swapping again. */
    undoes: z.optional(EntryId),
    ...together,
  }),

  // ── the judge ──────────────────────────────────────────────────────────────
  mark: z.looseObject({
    ...where,
    /** Of one child; of several only in books of the first rules. */
    cells: z.array(Cell).check(z.minLength(1), z.maxLength(400)),
    /** The entry this one takes back. */
    undoes: z.optional(EntryId),
    ...together,
    ...answering,
  }),
  overall: z.looseObject({
    candidate: CandidateId,
    section: SectionId,
    /** 1 clear retest, 2 borderline, 3 pass, 4 strong; null takes it back. */
    judgement: z.nullable(z.int().check(z.gte(1), z.lte(4))),
    undoes: z.optional(EntryId),
    ...together,
    ...answering,
  }),
  /** The faults seen in one cell; replaces the earlier list. */
  faults: z.looseObject({
    candidate: CandidateId,
    ...where,
    criterion: CriterionId,
    faults: z.array(FaultId).check(z.maxLength(8)),
    undoes: z.optional(EntryId),
  }),
  note: z.looseObject({ candidate: CandidateId, ...where, text: TextRef }),
  related: z.looseObject({
    candidate: CandidateId,
    relation: z.catch(z.enum(["own-student", "family", "other"]), "other"),
  }),
  recused: z.looseObject({ candidate: CandidateId, section: z.nullable(SectionId) }),
  /** “My marks here are final.” `basis`: what of this judge's own devices the lock speaks of; of its own device all that was written before it. */
  locked: z.looseObject({
    section: SectionId,
    candidates: z.array(CandidateId).check(z.minLength(1), z.maxLength(99)),
    basis: Basis,
  }),
  /** “I have looked again.” What was written for the request is in `basis`; what comes later does not answer it. */
  answered: z.looseObject({
    request: EntryId,
    candidate: CandidateId,
    section: SectionId,
    basis: Basis,
  }),

  // ── everybody admitted ─────────────────────────────────────────────────────
  stopped: z.looseObject({
    wave: z.nullable(z.int()),
    /** Written with no hub in reach: nobody else was told then. */
    alone: z.optional(z.catch(z.boolean(), false)),
  }),
  incident: z.looseObject({ candidate: z.optional(CandidateId), text: TextRef }),
  /** Without penalty, whenever somebody says so; null takes it back. */
  withdrawn: z.looseObject({
    candidate: CandidateId,
    why: z.catch(z.nullable(z.enum(["hurt", "unwell", "own-wish"])), "own-wish"),
  }),

  /** Names and texts about this person are to be forgotten wherever they are kept; marks and verdicts stay, under the number alone. */
  erased: z.looseObject({ about: z.union([CandidateId, PersonId]) }),

  /** Written by the hub alone: a further device came in as somebody who had one in this test already, or the same one came in again. */
  "let-in": z.looseObject({
    person: PersonId,
    device: DeviceId,
    /** Whose word at the door it was. */
    decidedBy: PersonId,
    /** The person said yes to it on a device of theirs that was on the line. */
    agreed: z.optional(z.catch(z.boolean(), false)),
  }),

  // ── the decision (chief examiner) ──────────────────────────────────────────
  "floor-cleared": z.looseObject({}),
  /** Opens marks although a judge never locked (a lost tablet); the reason is recorded. */
  revealed: z.looseObject({
    section: SectionId,
    candidates: z.array(CandidateId),
    reason: TextRef,
    /** What the chief's device held of those who had not locked; only where there is no hub, which says so itself (`held`). */
    basis: z.optional(Basis),
  }),
  /** Written by the hub alone: what it held of a judge in one child's section at the moment of `of`, which speaks for a lock that never came. */
  held: z.looseObject({
    of: EntryId,
    judge: PersonId,
    candidate: CandidateId,
    section: SectionId,
    basis: Basis,
  }),
  /** The same where the marks are closed still, shut away so that only that hub can read it: whoever keeps it gives it back to a hub that has lost it. */
  "held-sealed": z.looseObject({ of: EntryId, box: z.string().check(z.maxLength(190_000)) }),
  "remark-asked": z.looseObject({
    judge: PersonId,
    candidate: CandidateId,
    ...where,
    criterion: z.nullable(CriterionId),
    /** `blank`: before reveal, only about blank or not-seen cells. `talk`: after reveal, marks may be given anew. */
    ask: z.enum(["blank", "talk"]),
  }),
  /** Settles one question of the review queue, named by its key. */
  "review-settled": z.looseObject({
    question: z.string().check(z.minLength(1), z.maxLength(300)),
    candidate: CandidateId,
    decision: z.enum(["stands", "struck", "late-counts", "late-refused"]),
    /** Entries struck from the verdict, when the decision is `struck`. */
    judge: z.optional(PersonId),
    reason: TextRef,
    /** What its writer held of that child: a late mark that is not in it was not decided about. */
    basis: z.optional(Basis),
  }),
  verdict: z.looseObject({
    candidate: CandidateId,
    result: z.enum(["pass", "retest"]),
    retestSections: z.array(SectionId),
    computed: z.enum(["pass", "retest", "incomplete"]),
    /** Needed when the result is not the computed one, or a question that could change it was open. */
    reason: z.optional(TextRef),
    basis: Basis,
  }),
  "sheet-edited": z.looseObject({
    candidate: CandidateId,
    /** Chosen lines, by key; absent means the computed ones. */
    strong: z.optional(z.array(z.string().check(z.maxLength(200)))),
    next: z.optional(z.array(z.string().check(z.maxLength(200)))),
    words: z.optional(TextRef),
  }),
  "sheet-released": z.looseObject({ candidate: CandidateId }),
  correction: z.looseObject({ of: EntryId, reason: TextRef }),

  // ── watching the panel ─────────────────────────────────────────────────────
  /** A performance shown to all judges before the first wave; `isOpen: false` takes it back. */
  "anchor-set": z.looseObject({
    anchor: AnchorId,
    rubric: RubricId,
    section: SectionId,
    isOpen: z.boolean(),
  }),
  /** The marks that were agreed for it. Judges are not sent them. */
  "anchor-agreed": z.looseObject({ anchor: AnchorId, marks: anchorMarks }),
  /** One judge's marks of it; replaces the earlier ones. */
  "anchor-marked": z.looseObject({ anchor: AnchorId, marks: anchorMarks }),
  /** What an earlier test left of a judge, in levels (positive = severe); null forgets it. */
  "severity-kept": z.looseObject({
    judge: PersonId,
    from: GradingId,
    date: z.iso.date(),
    kept: z.nullable(
      z.looseObject({ severity: inLevels, sd: z.number().check(z.gt(0), z.lte(7)) }),
    ),
  }),
  /** Which of the two the panel's severities are reckoned with. */
  "severities-used": z.looseObject({ anchors: z.boolean(), history: z.boolean() }),
  /** A judge's own page, as it stood when the chief gave it: sent to that judge and to nobody else. */
  "judge-told": z.looseObject({
    judge: PersonId,
    standing: z.enum(["too-little", "flat", "severe", "lenient", "like-others"]),
    severity: z.nullable(
      z.looseObject({
        value: inLevels,
        se: z.number().check(z.gte(0)),
        against: z.optional(z.enum(["others", "standard"])),
        isBeyondChance: z.optional(z.boolean()),
        isBeyondCommon: z.optional(z.boolean()),
      }),
    ),
    candidates: z.int().check(z.gte(0)),
    /** Of these candidates, those whom somebody else marked too. */
    shared: z.optional(z.int().check(z.gte(0))),
    marks: z.int().check(z.gte(0)),
    restShare: z.number().check(z.gte(0), z.lte(1)),
    sameShare: z.number().check(z.gte(0), z.lte(1)),
    /** Absent where it cannot be told. */
    pace: z.optional(
      z.looseObject({
        places: z.int().check(z.gte(0)),
        medianSeconds: z.number().check(z.gte(0)),
        quickShare: z.number().check(z.gte(0), z.lte(1)),
        isHasty: z.boolean(),
      }),
    ),
    odd: z.optional(
      z
        .array(
          z.looseObject({
            name: z.enum(["own-students", "drift", "compressed", "halo", "criterion"]),
            value: inLevels,
            criterion: z.optional(CriterionId),
          }),
        )
        .check(z.maxLength(9)),
    ),
    drift: z
      .array(z.looseObject({ wave: z.int(), apart: inLevels, cells: z.int().check(z.gte(0)) }))
      .check(z.maxLength(99)),
  }),
} as const;

export type EntryKind = keyof typeof bodies;
export type EntryBody<Kind extends EntryKind> = z.infer<(typeof bodies)[Kind]>;
export const entryKinds = Object.keys(bodies) as EntryKind[];

/** The last moment that a date can be made of (ECMA-262, time values): one beyond it would break whatever shows it. */
const LAST_MOMENT_MS = 8.64e15;

const envelope = {
  id: EntryId,
  grading: GradingId,
  by: PersonId,
  /** In which count of the device that wrote it this stands. */
  device: CountId,
  /** 1, 2, 3 … in each count, no gaps. */
  n: z.int().check(z.gte(1)),
  /** Logical time (Lamport 1978, doi:10.1145/359545.359563): above everything this device had seen when it wrote. */
  lamport: z.int().check(z.gte(1), z.lte(2 ** 48)),
  /** Wall clock, milliseconds since 1970; for people, never for order. */
  at: z.int().check(z.gte(0), z.lte(LAST_MOMENT_MS)),
  /** Entries this one knowingly takes the place of. */
  replaces: z.optional(z.array(EntryId).check(z.maxLength(400))),
};

/** An entry of a kind this version knows. */
export type Entry = {
  [Kind in EntryKind]: {
    id: EntryId;
    grading: GradingId;
    by: PersonId;
    device: CountId;
    n: number;
    lamport: number;
    at: number;
    replaces?: EntryId[] | undefined;
    kind: Kind;
    body: EntryBody<Kind>;
  };
}[EntryKind];
export type EntryOf<Kind extends EntryKind> = Extract<Entry, { kind: Kind }>;

/** An entry of a kind from another year: kept and passed on, never read. */
type UnknownEntry = Omit<Entry, "kind" | "body"> & {
  kind: string;
  body: Record<string, unknown>;
};
export type AnyEntry = Entry | UnknownEntry;

const Envelope = z.looseObject({
  ...envelope,
  kind: z.string().check(z.regex(/^[a-z][a-z-]{0,39}$/)),
  body: z.looseObject({}),
});

export type ReadEntry =
  | { ok: true; entry: AnyEntry }
  | { ok: false; path: (string | number)[]; message: string };

/**
 * Reads one entry from outside. Known kinds are checked whole; unknown kinds keep their body untouched.
 * Never throws: bad input is an answer, with the path to the fault.
 */
export function readEntry(json: unknown): ReadEntry {
  if (!isPlainJson(json))
    return {
      ok: false,
      path: [],
      message: "nested too deeply, or with a number or letter that cannot be written down",
    };
  const outer = Envelope.safeParse(json);
  if (!outer.success) return firstIssue(outer.error, []);
  const schema = isEntryKind(outer.data.kind) ? bodies[outer.data.kind] : undefined;
  if (!schema) return { ok: true, entry: outer.data as UnknownEntry };
  const body = schema.safeParse(outer.data.body);
  if (!body.success) return firstIssue(body.error, ["body"]);
  return { ok: true, entry: outer.data as unknown as Entry };
}

/** The kinds of which what is read may be more than what was written: a default filled in, a word of another year told as the nearest one known. */
const readOtherwise: ReadonlySet<string> = new Set<EntryKind>([
  "frozen",
  "rubric-replaced",
  "faults-frozen",
  "excused",
  "related",
  "withdrawn",
]);
const asReadOnce = new WeakMap<object, Entry>();

/** An entry as it is to be understood. What was written stays what is stored, chained and sent on. */
export function asRead(entry: Entry): Entry {
  if (!readOtherwise.has(entry.kind)) return entry;
  let read = asReadOnce.get(entry);
  if (!read) {
    const body = bodies[entry.kind].safeParse(entry.body);
    read = body.success ? ({ ...entry, body: body.data } as Entry) : entry;
    asReadOnce.set(entry, read);
  }
  return read;
}

function firstIssue(error: z.core.$ZodError, prefix: (string | number)[]): ReadEntry {
  const [issue] = error.issues;
  return {
    ok: false,
    path: [...prefix, ...((issue?.path ?? []) as (string | number)[])],
    message: issue?.message ?? "not readable",
  };
}

function isEntryKind(kind: string): kind is EntryKind {
  return Object.hasOwn(bodies, kind);
}
export function isKnown(entry: AnyEntry): entry is Entry {
  return isEntryKind(entry.kind);
}
