import { render, screen } from "@testing-library/react";
import { expect, it } from "vitest";
import { Belt } from "../../../src/tablet/parts/belt.tsx";
import { CountStrokes } from "../../../src/tablet/parts/count-strokes.tsx";
import { LevelGlyph } from "../../../src/tablet/parts/level-glyph.tsx";
import { Seal } from "../../../src/tablet/parts/seal.tsx";
import { LanguageContext } from "../../../src/tablet/parts/use-say.ts";

it("never shows a belt without its name", () => {
  render(
    <>
      <Belt belt={{ name: "green", colour: "#2f8a4c", tip: "#1a1a1a" }} />
      <Belt belt={{ name: "Black belt, first dan", colour: "#111111" }} />
      <Belt belt={{ name: "orange", colour: "#e8842c" }} short />
    </>,
  );
  expect(screen.getByText("green belt")).toBeTruthy();
  expect(screen.getByText("Black belt, first dan")).toBeTruthy();
  expect(screen.getByText("orange")).toBeTruthy();
});

it("tells the counts in words, and the one being called by its own stroke", () => {
  const { container } = render(<CountStrokes done={4} total={6} running />);
  expect(screen.getByRole("img", { name: "4 of 6 counts" })).toBeTruthy();
  expect(
    [...container.querySelectorAll("[data-state]")].map((stroke) =>
      stroke.getAttribute("data-state"),
    ),
  ).toEqual(["done", "done", "done", "now", "ahead", "ahead"]);
});

it("names a level or a seal that stands without words, and hides one beside words", () => {
  render(
    <>
      <LevelGlyph level={2} meetsLevel={3} label="Nearly" />
      <Seal label="Locked" />
      <Seal />
    </>,
  );
  expect(screen.getAllByRole("img").map((image) => image.getAttribute("aria-label"))).toEqual([
    "Nearly",
    "Locked",
  ]);
});

it("speaks the language around it, and English where a word is missing", () => {
  render(
    <LanguageContext value={{ locale: "de", translated: { parts: { belt: "{name}er Gurt" } } }}>
      <Belt belt={{ name: "gelb", colour: "#f2c230" }} />
      <CountStrokes done={1} total={3} />
    </LanguageContext>,
  );
  expect(screen.getByText("gelber Gurt")).toBeTruthy();
  expect(screen.getByRole("img", { name: "1 of 3 counts" })).toBeTruthy();
});
