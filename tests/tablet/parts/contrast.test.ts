import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";

const css = readFileSync(join(process.cwd(), "src/tablet/look/tokens.css"), "utf8");

function tokensOf(selector: string): Record<string, string> {
  const from = css.indexOf(`${selector} {`);
  const block = css.slice(from, css.indexOf("}", from));
  return Object.fromEntries(
    [...block.matchAll(/--([a-z-]+):\s*(#[0-9a-f]{6})/g)].map(([, name = "", value = ""]) => [
      name,
      value,
    ]),
  );
}

// WCAG 2.2, relative luminance and contrast ratio: https://www.w3.org/TR/WCAG22/#dfn-relative-luminance
function luminance(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
function contrast(a: string, b: string): number {
  const [dark = 0, light = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (light + 0.05) / (dark + 0.05);
}

const halls = { day: ":root", dark: ':root[data-theme="dark"]' };

describe.each(Object.entries(halls))("colours of the %s hall", (_, selector) => {
  const token = tokensOf(selector);
  const of = (a: string, b: string) => contrast(token[a] ?? "", token[b] ?? "");

  it("keeps words at 4.5 to 1 and more on paper and leaf (WCAG 1.4.3), ink at 7 to 1", () => {
    for (const ground of ["paper", "leaf"]) {
      expect(of("ink", ground)).toBeGreaterThanOrEqual(7);
      expect(of("wash", ground)).toBeGreaterThanOrEqual(7);
      expect(of("seal", ground)).toBeGreaterThanOrEqual(4.5);
      // Dots and dashes are no words: 3 to 1 (WCAG 1.4.11).
      expect(of("pencil", ground)).toBeGreaterThanOrEqual(3);
    }
    expect(of("on-seal", "seal")).toBeGreaterThanOrEqual(4.5);
  });
});

it("wears the same dark hall whether chosen or followed from the device", () => {
  const followed = tokensOf(':root:not([data-theme="day"])');
  expect(followed).toEqual(tokensOf(halls.dark));
  expect(Object.keys(followed)).toHaveLength(7);
});
