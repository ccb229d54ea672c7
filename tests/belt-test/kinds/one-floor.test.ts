import { expect, it } from "vitest";
import type { EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import { readEntry } from "../../../src/belt-test/scorebook/entry.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { aPen } from "../../builders/a-pen.ts";

const where = { section: "stances", item: null, side: null };
const onFloor = {
  called: { wave: 1, ...where },
  paused: {},
  resumed: {},
  "floor-cleared": {},
  "lined-up": { wave: 1, lanes: [] },
};
const ofLook = {
  assigned: { judge: "ada", section: "stances", candidates: [] },
  mark: {
    ...where,
    cells: [{ candidate: "mina", criterion: "stance", level: 3, how: "tapped" }],
  },
  overall: { candidate: "mina", section: "stances", judgement: 3 },
  locked: { section: "stances", candidates: ["mina"], basis: {} },
};

const saying = (kind: string, body: object): AnyEntry => ({
  ...aPen("ada").write("resumed", {} as EntryBody<"resumed">),
  kind,
  body: { ...body },
});
const isRead = (kind: string, body: object) => readEntry(saying(kind, body)).ok;

it.each([
  ...Object.entries(onFloor).map(([kind, body]) => [kind, "floor", body] as const),
  ...Object.entries(ofLook).map(([kind, body]) => [kind, "look", body] as const),
])("[S314] %s of another %s is not read as one of this", (kind, which, body) => {
  expect(isRead(kind, body)).toBe(true);
  expect(isRead(kind, { ...body, [which]: 1 })).toBe(true);
  expect(readEntry(saying(kind, { ...body, [which]: 2 }))).toMatchObject({
    ok: false,
    path: ["body", which],
  });
});

it("[S314] a stop stops every floor, whatever it says of one", () => {
  for (const floor of [1, 2, "the small hall"])
    expect(isRead("stopped", { wave: null, floor })).toBe(true);
});
