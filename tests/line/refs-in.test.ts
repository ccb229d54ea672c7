import { expect, it } from "vitest";
import type { AnyEntry } from "../../src/book/entry.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { refsIn } from "../../src/line/refs-in.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { anId } from "../builders/an-id.ts";

const refOf = (text: string) =>
  makeSideRecord(
    { grading: aGradingId, about: anId("candidate-1"), kind: "text", body: { text } },
    { random: (size) => new Uint8Array(size) },
  ).ref;

it("[L122] a line refers to each record once, and to four at the most, whatever stands in keys that nobody reads", () => {
  const text = refOf("What was seen");
  const again = Object.fromEntries(Array.from({ length: 24 }, (_, at) => [`k${at}`, text]));
  const others = Object.fromEntries(
    Array.from({ length: 24 }, (_, at) => [`k${at}`, refOf(`${at}`)]),
  );
  const incident = (more: object) =>
    aPen("judge-1").write("incident", { text, ...more }) as AnyEntry;
  expect(refsIn(incident(again))).toEqual([text]);
  expect(refsIn(incident(others))).toHaveLength(4);
  expect(refsIn(incident(others))[0]).toEqual(text);
});
