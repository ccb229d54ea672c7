import type * as z from "zod/mini";
import type { Basis } from "../../book/counts.ts";
import type { EntryId, PersonId } from "../../book/identity.ts";
import type { AnchorId, CandidateId, SectionId } from "../identity.ts";
import type { Role } from "./body-parts.ts";
import type { MarkedPlace } from "./marked-place.ts";

/** Roles, or everybody admitted. */
type Roles = readonly Role[] | "anyone";
/**
 * Who is sent an entry besides its writer. `waits`: chief and judges, when all of these are open, and not a moment earlier.
 * `ownFirst`: the chief; one who judges too when they have marked the same cells of that anchor, or nobody may mark it any more.
 * `of`: this person, and these roles.
 */
type Readers<Body> =
  | Roles
  | { waits: (body: Body) => readonly MarkedPlace[] }
  | { ownFirst: (body: Body) => AnchorId }
  | { of: (body: Body) => PersonId; roles: readonly Role[] };

type Trait =
  /** May be written when the chief has closed the test. */
  | "after-closing"
  /** Of the plan: it travels in a test pack. */
  | "in-pack"
  /** Holds words for everybody, or a box; of all others a blank is refused at the border. */
  | "worded"
  /** Makes logical time not go on: whoever sees the clock of a judge's next stop would know how many taps came before it. */
  | "untimed"
  /** Taken of everybody, whatever is missing before it: its place in the count tells nothing of how far a device has come. */
  | "out-of-turn"
  /** Stands in the count of the one child's section that it speaks of. */
  | "of-a-place"
  /** Can make the last missing lock unnecessary, or give it. */
  | "may-open"
  /** Says when marks are open. */
  | "of-openings"
  /** Of these, what says only who is to lock: with nothing else said nobody has locked, opened, held anything, or stepped back. */
  | "of-who-locks"
  /** By these marks open, or open otherwise: what came of them while a lost hub was away is remembered. */
  | "opens-marks"
  /** Keeps lines of before out that come again later, where a hub put back from an older copy took it anew. */
  | "decides"
  /** A hub says beside it what it holds, each time. */
  | "with-held"
  /** Its `basis` says what the chief had read: what of it is not here yet is awaited. */
  | "chief-has-read"
  /** The same without a hub, at an opening or a giving. */
  | "read-on-the-road"
  /** Says whose marks count for a child, or what is asked of it. */
  | "of-the-case"
  /** What is read may be more than what was written: a default filled in, a word of another year told as the nearest one known. */
  | "read-otherwise"
  /** May take back another of its kind: `undoes`. */
  | "undoing"
  /** A chief's word alone of who judges what is marked, and of what is open: a hub begun from an older copy cannot judge it by all that was said. */
  | "said-alone"
  /** What a hub held at an opening, open or shut away. */
  | "held"
  /** Said by a hub: each line of it is a count of its own. */
  | "hub's";

/** Everything that is so of one kind of entry. What refuses it, and what it changes, need the book: the file of the same name in ../permit/, and the `folds` of one of its views; the compiler asks for both. */
export interface KindRow<Schema extends z.ZodMiniType> {
  body: Schema;
  /** Who may write it; a stop and its like are never refused. */
  writers: Roles;
  readers: Readers<z.infer<Schema>>;
  /** Letters of an entry's JSON, envelope and all. */
  most:
    | number
    | ((entry: { body: z.infer<Schema>; replaces?: readonly EntryId[] | undefined }) => number);
  /** Whose result could be another without it. */
  bearsOn: "everybody" | "nobody" | ((body: z.infer<Schema>) => readonly CandidateId[]);
  is: readonly Trait[];
}

/** What a body must say so that something may be so of its kind. */
interface Needs {
  "of-a-place": { section: SectionId } & (
    | { candidate: CandidateId }
    | { candidates: readonly CandidateId[] }
    | { cells: readonly { candidate: CandidateId }[] }
  );
  undoing: { undoes?: EntryId | undefined };
  held: { of: EntryId };
  "chief-has-read": { basis?: Basis | undefined };
  "read-on-the-road": { basis?: Basis | undefined };
}
type TraitOf<Body> = {
  [One in Trait]: One extends keyof Needs ? (Body extends Needs[One] ? One : never) : One;
}[Trait];

export const kind = <Schema extends z.ZodMiniType, const Is extends readonly Trait[]>(
  row: KindRow<Schema> & { is: Is & readonly TraitOf<z.infer<Schema>>[] },
): Omit<KindRow<Schema>, "is"> & { is: Is } => row;

export const chief = ["chief"] as const;
export const judge = ["judge"] as const;
/** Letters that most kinds have no need to exceed. */
export const USUAL = 4_000;

export const ofOne = ({ candidate }: { candidate: CandidateId }): readonly CandidateId[] => [
  candidate,
];
