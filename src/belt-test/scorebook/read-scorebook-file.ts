import type * as z from "zod/mini";
import type { AnyEntry } from "../../book/entry.ts";
import type { GradingId, PersonId } from "../../book/identity.ts";
import { leapIn } from "../../book/lamport-leap.ts";
import { orderedText } from "../../book/ordered-text.ts";
import type { PassedOver } from "../../book/passed-over.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { SignedHead } from "../../book/signed-head.ts";
import { readEntry } from "./entry.ts";
import { type FileSeal, heldInFile } from "./file-seal.ts";
import { type ChainLink, ScorebookFile } from "./scorebook-file.ts";
import { unsoundRubrics } from "./unsound-rubrics.ts";

/** One grading as it travels, read: between a hub's store and a file, from a hall without a network, into an archive. */
export interface ReadScorebook {
  grading: GradingId;
  /** Whose device wrote it; undefined for a hub's copy. */
  person: PersonId | undefined;
  entries: AnyEntry[];
  sides: SideRecord[];
  /** What a chief's device did not take of the files that it took. */
  passedOver?: PassedOver | undefined;
  filesSince?: number | undefined;
  /** Of this grading; whether their signatures are good is not asked here. */
  heads: SignedHead[];
  /** Empty where no hub wrote the file. Whether the entries follow it is not asked here. */
  chain: ChainLink[];
  /** With which device's seal it came, and what that speaks of; whether it is good only that device's hub can tell. */
  sealed?: { seal: FileSeal; held: string } | undefined;
}

type ScorebookFileProblem =
  | "not-a-scorebook"
  | "version-unknown"
  | "field-wrong"
  | "entry-malformed"
  | "rubric-unsound"
  | "lamport-leap"
  | "side-malformed"
  | "grading-other"
  | "id-reused"
  | "side-twice"
  | "n-reused";

export type ReadScorebookFile =
  | { ok: true; file: ReadScorebook }
  | { ok: false; problem: ScorebookFileProblem; path: (string | number)[] };

/**
 * Reads a scorebook file whole, or says what is wrong first and where; never a part of it.
 *
 * The frame is read strictly, entries tolerantly (kinds and keys of another year are kept). All entries are of the file's own grading;
 * the same entry twice is one, another body under a used id, or another entry at a device's used place, is named.
 * Never throws, whatever the file holds.
 */
export function readScorebookFile(json: unknown): ReadScorebookFile {
  const frame = ScorebookFile.safeParse(json);
  if (!frame.success) return { ok: false, ...frameProblem(json, frame.error) };
  const { grading } = frame.data;
  const entries = new Map<string, { entry: AnyEntry; text: string }>();
  const places = new Map<string, string>();
  for (const [index, one] of frame.data.entries.entries()) {
    const read = readEntry(one);
    const wrong = (
      problem: ScorebookFileProblem,
      ...more: (string | number)[]
    ): ReadScorebookFile => ({
      ok: false,
      problem,
      path: ["entries", index, ...more],
    });
    if (!read.ok) return wrong("entry-malformed", ...read.path);
    const { entry } = read;
    if (entry.grading !== grading) return wrong("grading-other", "grading");
    const text = orderedText(entry);
    const known = entries.get(entry.id);
    if (known?.text === text) continue;
    if (known) return wrong("id-reused", "id");
    const place = `${entry.device}/${entry.n}`;
    if (places.has(place)) return wrong("n-reused", "n");
    places.set(place, entry.id);
    entries.set(entry.id, { entry, text });
  }
  // A hub's record is not a tablet's to write.
  if (frame.data.person !== undefined && (frame.data.chain?.length ?? 0) > 0)
    return { ok: false, problem: "field-wrong", path: ["chain"] };
  const strange = frame.data.sides.findIndex((side) => side.grading !== grading);
  if (strange >= 0)
    return { ok: false, problem: "grading-other", path: ["sides", strange, "grading"] };
  const { person, sides, passedOver, filesSince, heads = [], chain = [], seal } = frame.data;
  const texts = new Map<string, string>();
  for (const [index, side] of sides.entries()) {
    const text = orderedText(side);
    const known = texts.get(side.id);
    // Of two that say different things the first would be kept, whichever is right.
    if (known !== undefined && known !== text)
      return { ok: false, problem: "side-twice", path: ["sides", index, "id"] };
    texts.set(side.id, text);
  }
  const others = heads.findIndex((head) => head.grading !== grading);
  if (others >= 0)
    return { ok: false, problem: "grading-other", path: ["heads", others, "grading"] };
  const read = [...entries.values()].map(({ entry }) => entry);
  const placeOf = (one: AnyEntry) => frame.data.entries.findIndex((json) => idOf(json) === one.id);
  const [unsound] = unsoundRubrics(read);
  if (unsound)
    return {
      ok: false,
      problem: "rubric-unsound",
      path: ["entries", placeOf(unsound.entry), "body", "rubric", ...unsound.path],
    };
  // What one tablet holds is a part: there the book that it comes to says what is too far ahead.
  const leap = person === undefined ? leapIn(read) : undefined;
  if (leap)
    return { ok: false, problem: "lamport-leap", path: ["entries", placeOf(leap), "lamport"] };
  const sealed = seal && { seal, held: heldInFile(frame.data) };
  const beside = { passedOver, filesSince, heads, chain, sealed };
  const file = { grading, person, entries: read, sides, ...beside };
  return { ok: true, file };
}

const idOf = (json: unknown): unknown => (json as { id?: unknown } | null)?.id;

function frameProblem(
  json: unknown,
  error: z.core.$ZodError,
): { problem: ScorebookFileProblem; path: (string | number)[] } {
  if (
    typeof json !== "object" ||
    json === null ||
    !("format" in json) ||
    json.format !== "evenhand-scorebook"
  )
    return { problem: "not-a-scorebook", path: [] };
  if (!("version" in json) || json.version !== 1)
    return { problem: "version-unknown", path: ["version"] };
  const path = pathOf(error);
  return {
    problem: path[0] === "sides" && path.length > 1 ? "side-malformed" : "field-wrong",
    path,
  };
}

function pathOf(error: z.core.$ZodError): (string | number)[] {
  const [issue] = error.issues;
  const keys = issue?.code === "unrecognized_keys" ? issue.keys.slice(0, 1) : [];
  return [...((issue?.path ?? []) as (string | number)[]), ...keys];
}
