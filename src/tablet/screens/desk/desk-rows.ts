import type { CandidateId } from "../../../belt-test/identity.ts";
import type { Presence } from "../../../belt-test/scorebook/presence.ts";
import { candidateDetails } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";

export type Shown = "all" | "expected" | "here" | "away";
export interface DeskRow {
  candidate: CandidateId;
  number: number;
  given: string;
  family: string;
  presence: Presence;
  belt: { name: string; colour: string; tip?: string | undefined } | undefined;
  place: { wave: number; lane: number } | undefined;
}

export const shownOf = ({ presence }: DeskRow): Exclude<Shown, "all"> =>
  presence === "expected" ? "expected" : presence === "checked-in" ? "here" : "away";

/** Everybody entered, by number, with what the desk tells a family. */
export function deskRows(notebook: Notebook): DeskRow[] {
  const { book } = notebook;
  const places = new Map(
    book.plan.waves.flatMap(({ wave, lanes }) =>
      lanes.map((candidate, index) => [candidate, { wave, lane: index + 1 }] as const),
    ),
  );
  return book.plan.entrants.map(({ candidate, number, rubric }) => {
    const details = candidateDetails(notebook, candidate);
    return {
      candidate,
      number,
      given: details?.given ?? "",
      family: details?.family ?? "",
      presence: book.floor.presence(candidate),
      belt: book.plan.rubric(rubric)?.to.belt,
      place: places.get(candidate),
    };
  });
}

/** Those whose number begins so, or with a name that has a part beginning so; accents and case do not matter. */
export function found(rows: readonly DeskRow[], search: string): readonly DeskRow[] {
  const asked = plain(search);
  if (asked === "") return rows;
  if (/^\d+$/.test(asked)) return rows.filter(({ number }) => String(number).startsWith(asked));
  const words = asked.split(" ");
  return rows.filter(({ given, family }) => {
    const parts = plain(`${given} ${family}`).split(/[\s-]+/);
    return words.every((word) => parts.some((part) => part.startsWith(word)));
  });
}

const plain = (text: string): string =>
  text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().replace(/\s+/g, " ").trim();
