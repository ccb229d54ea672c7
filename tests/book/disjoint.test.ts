import { expect, it } from "vitest";
import { disjoint } from "../../src/book/disjoint.ts";

it("puts tables together, and takes no key twice", () => {
  expect(disjoint({ a: 1 }, { b: "two" })).toEqual({ a: 1, b: "two" });
  expect(() => disjoint({ a: 1 }, { b: 2 }, { a: 3 })).toThrow(/a stands in two tables/);
});
