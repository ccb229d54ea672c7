import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { RULES } from "../../src/belt-test/scorebook/rules.ts";
import type { PersonId, TextRef } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { aGradingId, anIdOf } from "../builders/a-pen.ts";
import { aRubric } from "../builders/a-rubric.ts";
import type { Dice } from "./dice.ts";
import { RoomTablet } from "./room-tablet.ts";

const blocks = { id: "blocks", title: "Blocks", weight: 3, floor: 40, marking: "line" } as const;
const rising = { id: "rising-block", title: "Rising block", group: "block" } as const;

/** Two rubrics that ask for the same section differently, and for one section each that the other has not. */
const rubrics = [
  aRubric({
    sections: [
      {
        ...blocks,
        overall: true,
        onceASection: { criteria: ["spirit"] },
        items: [
          { ...rising, sides: "each", criteria: ["chamber"] },
          {
            ...{ id: "low-block", title: "Low block", group: "block" },
            ...{ sides: "together", criteria: ["target"] },
          },
        ],
      },
      {
        ...{ id: "etiquette", title: "Etiquette", weight: 1, marking: "checklist" },
        items: [{ id: "bows-in", title: "Bows on entering", group: "etiquette" }],
      },
    ],
  }),
  aRubric({
    id: "white-to-yellow-adult",
    audience: "adult",
    sections: [
      { ...blocks, items: [{ ...rising, sides: "together", criteria: ["chamber", "target"] }] },
      {
        ...{ id: "punches", title: "Punches", weight: 1, floor: 40, marking: "line" },
        items: [
          {
            ...{ id: "straight-punch", title: "Straight punch", group: "strike" },
            ...{ sides: "together", criteria: ["extension"] },
          },
        ],
      },
    ],
  }),
];
export const SECTIONS = [
  ...new Set(rubrics.flatMap(({ sections }) => sections.map(({ id }) => id))),
];

/** Who is in the room, and with what. */
export interface RoomHall {
  readonly chiefs: readonly [RoomTablet, RoomTablet];
  /** One tablet each, the spare's and the first judge's second among them. */
  readonly judges: readonly RoomTablet[];
  readonly desk: RoomTablet;
  readonly tablets: readonly RoomTablet[];
  readonly children: readonly CandidateId[];
  /** Those who have places from the beginning. */
  readonly panel: readonly PersonId[];
  /** A reason, filed under whom it is about. */
  because(about: string): { reason: TextRef; side: SideRecord };
  /** The name of one act of several lines. */
  newBatch(): string;
}

/** Two chiefs, three to five judges, one of them with two tablets, a spare judge, a desk, and two to four children. */
export function roomHall(dice: Dice): RoomHall {
  let made = 0;
  const makeId = () => anIdOf(++made);
  const tablet = (person: string, role: "chief" | "judge" | "desk", which = "tablet") =>
    new RoomTablet(person, `${person}-${which}`, role, makeId);
  const panel = Array.from({ length: dice.whole(3, 5) }, (_, at) => `judge-${at + 1}` as PersonId);
  const children = Array.from(
    { length: dice.whole(2, 4) },
    (_, at) => `child-${at + 1}` as CandidateId,
  );
  const chiefs = [tablet("chief-1", "chief"), tablet("chief-2", "chief")] as const;
  const judges = [
    ...panel.map((person) => tablet(person, "judge")),
    tablet("judge-1", "judge", "second-tablet"),
    tablet("judge-spare", "judge"),
  ];
  const desk = tablet("desk", "desk");
  return {
    ...{ chiefs, judges, desk, children, panel },
    tablets: [...chiefs, ...judges, desk],
    because(about) {
      const { record, ref } = makeSideRecord(
        {
          ...{ grading: aGradingId, about: about, kind: "text" },
          body: { text: "The tablet fell into the water." },
        },
        { random: (bytes) => new Uint8Array(bytes) },
      );
      return { reason: ref, side: record };
    },
    newBatch: () => `act-${++made}`,
  };
}

/** The whole plan, by the first chief: all judges mark every child in all that its rubric asks. */
export function writePlan({ chiefs, judges, desk, children, panel }: RoomHall, dice: Dice): void {
  const [chief] = chiefs;
  chief.write("opened", { title: "Summer belt test", date: "2026-06-06", rules: RULES });
  for (const rubric of rubrics) chief.write("frozen", { rubric });
  const seats = new Map([...chiefs, ...judges, desk].map(({ person, roles }) => [person, roles]));
  for (const [person, roles] of seats) chief.write("seated", { person, roles: [...roles] });
  for (const [at, candidate] of children.entries())
    chief.write("entered", { candidate, number: at + 1, rubric: dice.pick(rubrics).id });
  chief.write("lined-up", { wave: 1, lanes: [...children] });
  for (const judge of panel)
    for (const section of SECTIONS) {
      const candidates = children.filter((one) => isAsked(chief, one, section));
      if (candidates.length > 0) chief.write("assigned", { judge, section, wave: 1, candidates });
    }
  chief.write("started", {});
}

/** Whether a child's rubric has this section, as a tablet knows it. */
export const isAsked = (
  { book }: RoomTablet,
  candidate: CandidateId,
  section: SectionId,
): boolean => book.plan.rubricOf(candidate)?.sections.some(({ id }) => id === section) ?? false;
