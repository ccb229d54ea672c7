import type { FaultLibrary } from "./fault-library.ts";
import { type Finding, finding, type JsonPath } from "./finding.ts";
import { criteriaAt } from "./lookup.ts";
import { DONE, type Rubric, type Section } from "./rubric.ts";

/**
 * The least weight, and the least step from one level's points to the next: one millionth of the largest weight there may be. Of numbers
 * much smaller (from about 1e-308) the quotients are none. Not in the schema, for a test that was begun with one must still be read.
 */
const LEAST = 0.001;

/** Where a rubric that fits the schema contradicts itself, so that no fair score can be computed from it. */
export function contradictions(rubric: Rubric, library?: FaultLibrary): Finding[] {
  return [
    ...ofScale(rubric),
    ...ofCriteria(rubric),
    ...ofWeights(rubric),
    ...twice(rubric.sections, ["sections"]),
    ...itemsTwice(rubric),
    ...rubric.sections.flatMap((section, at) => [
      ...ofSection(rubric, section, ["sections", at]),
      ...ofItems(rubric, section, ["sections", at, "items"], library),
    ]),
  ];
}

function ofScale({ scale }: Rubric): Finding[] {
  const found: Finding[] = [];
  const { levels, meetsLevel } = scale;
  const path = ["scale", "levels"];
  if (meetsLevel > levels.length)
    found.push(
      finding("MEETS_OUT_OF_SCALE", ["scale", "meetsLevel"], { meetsLevel, levels: levels.length }),
    );
  levels.forEach((level, at) => {
    const before = levels[at - 1];
    if (before && level.points <= before.points)
      found.push(
        finding("POINTS_NOT_RISING", [...path, at, "points"], {
          level: level.title,
          points: level.points,
          before: before.points,
        }),
      );
    else if (before)
      found.push(
        ...tooFine(
          level.points,
          [...path, at, "points"],
          Number((before.points + LEAST).toFixed(9)),
        ),
      );
    if (levels.findIndex(({ title }) => title === level.title) < at)
      found.push(finding("LEVEL_TITLE_TWICE", [...path, at, "title"], { level: level.title }));
  });
  return found;
}

function ofCriteria({ criteria, scale }: Rubric): Finding[] {
  const levels = scale.levels.length;
  return [
    ...twice(criteria, ["criteria"]),
    ...criteria.flatMap(({ id, title, descriptors }, at) => {
      const path = ["criteria", at];
      return [
        ...(id === DONE ? [finding("CRITERION_ID_RESERVED", [...path, "id"], { id })] : []),
        ...(descriptors.length === levels
          ? []
          : [
              finding("DESCRIPTORS_COUNT", [...path, "descriptors"], {
                criterion: title,
                found: descriptors.length,
                levels,
              }),
            ]),
      ];
    }),
  ];
}

const ofWeights = ({ criteria, sections }: Rubric): Finding[] => [
  ...criteria.flatMap(({ weight }, at) => tooFine(weight, ["criteria", at, "weight"])),
  ...sections.flatMap(({ weight, items, onceASection }, at) => {
    const path = ["sections", at];
    return [
      ...tooFine(weight, [...path, "weight"]),
      ...items.flatMap((item, place) => tooFine(item.weight, [...path, "items", place, "weight"])),
      ...(onceASection ? tooFine(onceASection.weight, [...path, "onceASection", "weight"]) : []),
    ];
  }),
];

const tooFine = (value: number, path: JsonPath, least = LEAST): Finding[] =>
  value < least
    ? [
        finding("NUMBER_TOO_LOW", path, {
          field: String(path.at(-1)),
          value: String(value),
          limit: least,
          above: "no",
        }),
      ]
    : [];

/** Excuses name an item alone, so its id must be one item in the whole rubric. */
const itemsTwice = (rubric: Rubric): Finding[] =>
  rubric.sections.flatMap((section, s) =>
    section.items.flatMap(({ id }, i) => {
      const isEarlier = rubric.sections.some((other, o) =>
        other.items.some((item, at) => item.id === id && (o < s || (o === s && at < i))),
      );
      return isEarlier ? [finding("ID_TWICE", ["sections", s, "items", i, "id"], { id })] : [];
    }),
  );

const twice = (list: readonly { id: string }[], path: JsonPath): Finding[] =>
  list.flatMap(({ id }, at) =>
    list.findIndex((other) => other.id === id) < at
      ? [finding("ID_TWICE", [...path, at, "id"], { id })]
      : [],
  );

function ofSection(rubric: Rubric, section: Section, path: JsonPath): Finding[] {
  const found: Finding[] = [];
  const isChecklist = section.marking === "checklist";
  if (section.onceASection && isChecklist)
    found.push(
      finding("CHECKLIST_ONCE_A_SECTION", [...path, "onceASection"], { section: section.title }),
    );
  found.push(
    ...criteriaList(rubric, section.onceASection?.criteria ?? [], [
      ...path,
      "onceASection",
      "criteria",
    ]),
  );
  const most = isChecklist ? 100 : topPoints(rubric);
  if (section.floor > most)
    found.push(
      finding("FLOOR_IMPOSSIBLE", [...path, "floor"], {
        section: section.title,
        floor: section.floor,
        most,
      }),
    );
  return found;
}

function ofItems(
  rubric: Rubric,
  section: Section,
  items: JsonPath,
  library: FaultLibrary | undefined,
): Finding[] {
  const isChecklist = section.marking === "checklist";
  return section.items.flatMap((item, at) => {
    const path = [...items, at];
    const found = criteriaList(rubric, item.criteria, [...path, "criteria"]);
    const say = (code: Finding["code"], field: string, values: Finding["with"] = {}) =>
      found.push(finding(code, [...path, field], { item: item.title, ...values }));
    if (isChecklist && item.criteria.length > 0) say("CHECKLIST_WITH_CRITERIA", "criteria");
    if (isChecklist && item.sides !== "one") say("CHECKLIST_WITH_SIDES", "sides");
    if (isChecklist && item.mustShow) say("CHECKLIST_MUST_SHOW", "mustShow");
    if (criteriaAt(section, item).length === 0) say("ITEM_ASKS_NOTHING", "criteria");
    if (item.mustShow && item.mustShow.floor > topPoints(rubric))
      say("MUST_SHOW_IMPOSSIBLE", "mustShow", {
        floor: item.mustShow.floor,
        most: topPoints(rubric),
      });
    item.faults.forEach((fault, place) => {
      if (library && !library.faults.some(({ id }) => id === fault))
        found.push(
          finding("FAULT_UNKNOWN", [...path, "faults", place], { item: item.title, fault }),
        );
    });
    return found;
  });
}

function criteriaList(rubric: Rubric, criteria: readonly string[], path: JsonPath): Finding[] {
  const known = rubric.criteria.map(({ id }) => id as string);
  return criteria.flatMap((criterion, at) => [
    ...(known.includes(criterion)
      ? []
      : [finding("CRITERION_UNKNOWN", [...path, at], { criterion, known: known.join(", ") })]),
    ...(criteria.indexOf(criterion) < at
      ? [finding("CRITERION_LISTED_TWICE", [...path, at], { criterion })]
      : []),
  ]);
}

const topPoints = ({ scale }: Rubric): number => scale.levels.at(-1)?.points ?? 0;
