import { act, screen, waitFor } from "@testing-library/react";
import { Route, Routes, useLocation } from "react-router";
import { describe, expect, it } from "vitest";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { type TestPage, testPages } from "../../src/tablet/parts/test-pages.ts";
import { pageRoutes } from "../../src/tablet/router.tsx";
import { SessionFrame } from "../../src/tablet/screens/frame/session-frame.tsx";
import { aSession } from "../builders/a-session.tsx";
import { aTestDay } from "../builders/a-test-day.ts";

function Where() {
  return <output data-testid="where">{useLocation().pathname}</output>;
}
const where = () => screen.getByTestId("where").textContent;

const pages: TestPage[] = Object.values(testPages);
const day = aTestDay();
const closed = [...day.plan, day.chief.write("closed", {})];
/** Where each role belongs. */
const homes = { judge: "judge", caller: "caller", desk: "desk" } as const;
const others = (Object.keys(homes) as (keyof typeof homes)[]).flatMap((role) =>
  pages.filter(({ of }) => !of.includes(role)).map(({ path }) => ({ role, path })),
);

describe("a page that is not one's own", () => {
  for (const [when, book] of [
    ["during the test", day.plan],
    ["after closing", closed],
  ] as const)
    it.each(others)(
      `[Y165] sends the $role from “$path” to their own, ${when}`,
      async ({ role, path }) => {
        const mine = await aSession(`${role}-1`, [role as Role], book);
        await act(async () => {
          mine.show(
            <>
              <Where />
              <Routes>
                <Route element={<SessionFrame />}>{pageRoutes}</Route>
              </Routes>
            </>,
            `/tests/grading-1/${path.replace(":candidate", "candidate-1")}`,
          );
        });
        await waitFor(() => expect(where()).toBe(`/tests/grading-1/${homes[role]}`));
      },
    );

  it("[Y165] leaves no page without an owner, and nothing below “chief” to anybody but the chief", () => {
    expect(pages.filter(({ of }) => of.length === 0)).toEqual([]);
    const below = pages.filter(({ path }) => path.startsWith("chief") || path === "sheets");
    expect(below.length).toBeGreaterThan(6);
    expect(below.filter(({ of }) => of.join() !== "chief")).toEqual([]);
  });
});
