import { screen, within } from "@testing-library/react";
import { describe, expect, it } from "vitest";
import type { PersonId } from "../../../src/book/identity.ts";
import { ItemsScreen } from "../../../src/tablet/screens/items/items-screen.tsx";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";

const marked = (
  candidates: number,
  locks?: (judge: PersonId, section: string) => boolean,
  reaching: readonly string[] = ["candidate-1"],
) =>
  aMarkedDay({
    day: aTestDay({ candidates }),
    levelOf: (candidate, place) =>
      place.section === "etiquette"
        ? 2
        : place.item === "low-block" && !reaching.includes(candidate)
          ? 2
          : 3,
    ...(locks ? { locks } : {}),
  }).entries;
const shown = async (entries: ReturnType<typeof marked>, role: "chief" | "judge" = "chief") =>
  (await aSession("chief", [role], entries)).show(<ItemsScreen />);

describe("what was hard", () => {
  it("names what most of the class missed", async () => {
    await shown(marked(4));
    const rank = screen.getByRole("region", { name: "White to yellow, junior" });
    expect(
      within(rank)
        .getAllByRole("listitem")
        .map(({ textContent }) => textContent),
    ).toEqual(["Low block: 3 of 4 below “Meets”"]);
    const row = within(rank).getByRole("row", { name: /^Low block/, hidden: true });
    // By hand: (66.7 + 3 × 33.3) / 4 = 41.65.
    expect(row.textContent).toBe("Low block42 %3 of 4");
  });
  it("names its threshold where nothing reaches it, and what more than half missed", async () => {
    // Two of six reach it, four do not: more than half, not three quarters.
    await shown(marked(6, undefined, ["candidate-1", "candidate-2"]));
    expect(screen.getByText("Nothing was missed by three quarters of the class.")).toBeTruthy();
    expect(screen.getByText("More than half missed:")).toBeTruthy();
    expect(screen.getByText("Low block: 4 of 6 below “Meets”")).toBeTruthy();
    expect(screen.getByText(/^“Average” is where .*“Meets” is worth 66\.7 %/)).toBeTruthy();
  });
  it("says of ten and more what tells the ready from the others", async () => {
    await shown(marked(10));
    const row = screen.getByRole("row", { name: /^Low block/, hidden: true });
    // Candidate 1 alone reached it, and is otherwise like everybody.
    expect(row.textContent).toBe("Low block37 %9 of 10all alike");
  });
  it("says little of three candidates", async () => {
    await shown(marked(3));
    expect(screen.getByText("A class of 3 says little of a technique.")).toBeTruthy();
  });
  it("shows nothing of sections that are not open", async () => {
    await shown(marked(4, (judge, section) => section === "etiquette" || judge !== "judge-1"));
    expect(screen.queryByText(/Low block/)).toBeNull();
    expect(screen.getByRole("row", { name: /^Bows on entering/, hidden: true })).toBeTruthy();
  });
});
