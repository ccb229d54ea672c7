import { describe, expect, it } from "vitest";
import { gridKey } from "../../../../src/tablet/parts/line/grid-keys.ts";

const press = (key: string, held = {}) => ({
  key,
  ctrlKey: false,
  altKey: false,
  metaKey: false,
  ...held,
});

describe("the keyboard on the board", () => {
  it("moves by what the eye sees, also when the lanes are flipped", () => {
    expect(gridKey(press("ArrowRight"), 4, false)).toEqual({ kind: "move", column: 1, row: 0 });
    expect(gridKey(press("ArrowRight"), 4, true)).toEqual({ kind: "move", column: -1, row: 0 });
    expect(gridKey(press("ArrowDown"), 4, true)).toEqual({ kind: "move", column: 0, row: 1 });
  });

  it("takes only digits the scale has", () => {
    expect(gridKey(press("4"), 4, false)).toEqual({ kind: "level", level: 4 });
    expect(gridKey(press("5"), 4, false)).toBeNull();
    expect(gridKey(press("0"), 4, false)).toEqual({ kind: "clear" });
    expect(gridKey(press(" "), 4, false)).toBeNull();
  });

  it("leaves the browser its own", () => {
    expect(gridKey(press("r", { metaKey: true }), 4, false)).toBeNull();
    expect(gridKey(press("r"), 4, false)).toEqual({ kind: "rest" });
  });
});
