import library from "../../scoring-rubrics/faults-and-cues.json" with { type: "json" };
import type { Place } from "../../src/belt-test/scorebook/cell.ts";
import { type Entry, isKnown } from "../../src/belt-test/scorebook/entry.ts";
import { readScorebookFile } from "../../src/belt-test/scorebook/read-scorebook-file.ts";
import { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";

/** What the scorebook says a judge did: each entry in the order of the device, and what stands; in the words of `Account`. */
export interface Told {
  entries: string[][];
  standing: Record<string, string>;
}

const OVERALLS = ["Clear retest", "Borderline", "Pass", "Strong"];

/** @param json  a scorebook file, as a hub exports it or a device saves it. @returns by the judge's name; judges who wrote nothing are not there. */
export function told(json: unknown): Record<string, Told> {
  const read = readScorebookFile(json);
  if (!read.ok) throw new Error(`told: ${read.problem} at ${read.path.join("/")}`);
  const { entries, sides } = read.file;
  const book = new Scorebook();
  for (const entry of entries) book.add(entry);
  const detail = (id: string | undefined) => sides.find((side) => side.id === id)?.body ?? {};
  const who = (candidate: string) => {
    const entrant = book.plan.entrants.find((one) => one.candidate === candidate);
    return `${entrant?.number} ${detail(entrant?.given?.id).given}`;
  };
  const [rubric] = book.plan.rubrics;
  if (!rubric) throw new Error("told: no rubric in the file");
  const titleOf = (list: readonly { id: string; title: string }[], id: string) =>
    list.find((one) => one.id === id)?.title ?? `unknown ${id}`;

  function placeName(candidate: string, { section, item, side, criterion }: Place): string {
    const part = rubric?.sections.find(({ id }) => id === section);
    const title = part?.title ?? `unknown ${section}`;
    const isList = part?.marking === "checklist";
    const named = item === null ? undefined : titleOf(part?.items ?? [], item);
    const call = isList ? title : (named ?? `Close of ${title.toLowerCase()}`);
    const row = isList ? `${named}` : titleOf(rubric?.criteria ?? [], criterion);
    return [who(candidate), call, ...(side ? [`${side} side`] : []), lowerFirst(row)].join(", ");
  }
  function level({ section }: Place, value: number | string, how: string): string {
    if (typeof value === "string") return value === "cleared" ? "blank" : "not seen";
    const isList = rubric?.sections.find(({ id }) => id === section)?.marking === "checklist";
    const words = isList ? ["Not done", "Done"] : rubric?.scale.levels.map(({ title }) => title);
    return `${words?.[value - 1]}${how === "rest" ? ", by rest" : ""}`;
  }
  const overallAt = (candidate: string, section: string) =>
    `${who(candidate)}, Overall, ${titleOf(rubric.sections, section).toLowerCase()}, overall`;
  const chips = (ids: readonly string[]) =>
    ids.map((one) => library.faults.find(({ id }) => id === one)?.chip ?? one).join(" + ") ||
    "blank";

  function line(entry: AnyEntry): string[] {
    if (!isKnown(entry)) return [`unknown ${entry.kind}`];
    const { kind, body } = entry as Entry;
    if (kind === "mark")
      return body.cells
        .map(({ candidate, criterion, level: value, how }) => {
          const place = { ...body, criterion };
          return `${placeName(candidate, place)}: ${level(place, value, how)}`;
        })
        .sort();
    if (kind === "faults")
      return [`${placeName(body.candidate, body)}, faults: ${chips(body.faults)}`];
    if (kind === "overall")
      return [
        `${overallAt(body.candidate, body.section)}: ${body.judgement ? OVERALLS[body.judgement - 1] : "blank"}`,
      ];
    if (kind === "locked")
      return [
        `locks ${titleOf(rubric?.sections ?? [], body.section).toLowerCase()}: ${body.candidates.map(who).sort().join(", ")}`,
      ];
    return [kind];
  }

  return Object.fromEntries(
    book.plan.seats.flatMap(({ person, roles, details }): [string, Told][] => {
      const own = entries
        .filter(({ by }) => by === person)
        .sort((a, b) => a.lamport - b.lamport || a.at - b.at);
      if (!roles.includes("judge") || own.length === 0) return [];
      const standing = book.plan.entrants.flatMap(({ candidate }): [string, string][] => [
        ...book.marks
          .of(candidate, "now")
          .filter(({ judge }) => judge === person)
          .map((mark): [string, string] => [
            placeName(candidate, mark),
            level(mark, mark.level, mark.how),
          ]),
        // As with the marks: what stands, whether or not it was locked and counts.
        ...rubric.sections.flatMap(({ id }): [string, string][] => {
          const judgement = book.marks.overall(person, candidate, id);
          return judgement ? [[overallAt(candidate, id), `${OVERALLS[judgement - 1]}`]] : [];
        }),
        ...book.marks
          .faultsOf(candidate)
          .filter(({ judge, faults }) => judge === person && faults.length > 0)
          .map((seen): [string, string] => [
            `${placeName(candidate, seen)}, faults`,
            chips(seen.faults),
          ]),
      ]);
      const name = String(detail(details?.id).name);
      const done = acts(own).map((act) => act.flatMap(line).sort());
      return [[name, { entries: done, standing: Object.fromEntries(standing) }]];
    }),
  );
}

/** What one act wrote: entries of one batch, and locks of one section that follow one another, a child each. */
function acts(own: readonly AnyEntry[]): AnyEntry[][] {
  const found: AnyEntry[][] = [];
  for (const entry of own) {
    const last = found.at(-1);
    const before = last?.at(-1);
    if (last && before && isOneAct(before, entry)) last.push(entry);
    else found.push([entry]);
  }
  return found;
}
function isOneAct(a: AnyEntry, b: AnyEntry): boolean {
  if (a.kind === "locked" && b.kind === "locked") return a.body.section === b.body.section;
  const { batch } = a.body as { batch?: string };
  return batch !== undefined && batch === (b.body as { batch?: string }).batch;
}

const lowerFirst = (words: string): string => words.charAt(0).toLowerCase() + words.slice(1);
