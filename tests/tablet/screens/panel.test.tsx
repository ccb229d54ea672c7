import { screen, within } from "@testing-library/react";
import { describe, expect, it } from "vitest";
import type { PersonId } from "../../../src/book/identity.ts";
import { PanelJudges } from "../../../src/tablet/screens/panel/panel-judges.tsx";
import { PanelScreen } from "../../../src/tablet/screens/panel/panel-screen.tsx";
import { panelOf } from "../../../src/tablet/session/outcomes.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";

const marked = (severe: string | undefined, locks?: (judge: PersonId) => boolean) =>
  aMarkedDay({
    day: aTestDay({ judges: 3, candidates: 8 }),
    levelOf: (candidate, place, judge) => {
      if (place.section === "etiquette") return 2;
      const at =
        11 * place.criterion.length +
        5 * (place.item?.length ?? 1) +
        (place.side === "left" ? 2 : 0);
      const chance = Math.sin(7 * candidate.charCodeAt(10) + 3 * judge.charCodeAt(6) + at);
      // Who marks low does so in half of the cells that chance leaves alone.
      return chance > 0.8 ? 4 : judge === severe && chance < 0 ? 2 : 3;
    },
    ...(locks ? { locks } : {}),
  }).entries;
const shown = async (
  entries: ReturnType<typeof marked>,
  roles: ("chief" | "judge")[] = ["chief"],
) => (await aSession("chief", roles, entries)).show(<PanelScreen />);

describe("the panel's page", () => {
  it("says who marks low, and what to do next, without a figure", async () => {
    await shown(marked("judge-2"));
    const next = screen.getByRole("region", { name: "What to do next" });
    expect(within(next).getAllByRole("listitem")[0]?.textContent).toMatch(/marks low/);
    expect(next.textContent).not.toMatch(/ICC|alpha|\d\.\d/);
    expect(
      screen.getByText(
        /^Marks lower than the others, by about 0\.\d of a level\. That is more than chance, but no more than judges commonly differ\.$/,
      ),
    ).toBeTruthy();
    expect(
      screen.getByRole("img", { name: /of a level lower than the others, give or take/ }),
    ).toBeTruthy();
  });
  it("says once that certainty supposes own students were marked no kinder, and only where some were", async () => {
    const day = aTestDay({ judges: 3, candidates: 8 });
    const { entries } = aMarkedDay({ day });
    const supposes = /supposes that they were marked no kinder than everybody else\.$/;
    const { unmount } = await shown(entries);
    expect(screen.queryByText(supposes)).toBeNull();
    unmount();
    const related = day.candidates
      .slice(0, 2)
      .flatMap(
        (candidate) =>
          day.judges[0]?.pen.write("related", { candidate, relation: "own-student" }) ?? [],
      );
    await shown([...entries, ...related]);
    expect(screen.getByText(supposes).textContent).toMatch(/^Somebody marked own students\./);
  });
  it("says that there is nothing to do where judges are alike, and why no total is adjusted", async () => {
    await shown(marked(undefined));
    expect(screen.getByText("Nothing. No judge stands out.")).toBeTruthy();
    expect(
      screen.getByText(/^Every judge marked everybody, so their differences cancel out/),
    ).toBeTruthy();
    expect(screen.getByText("All judges can be compared: they share candidates.")).toBeTruthy();
  });
  it("names its yardsticks, and praises no agreement that is too little to build on", async () => {
    await shown(marked("judge-2"));
    const agree = screen.getByRole("region", { name: "How far they agree" });
    expect(agree.textContent).toMatch(/by common practice: this one does\./);
    expect(agree.textContent).toMatch(
      /too little to build on: alpha is below 0?\.67 \(Krippendorff’s yardstick\)\. Where nearly everything.* Rely on results far from the pass mark, and look again at those near it\./,
    );
  });
  it("speaks of speed only where it tells something, and calls it a question", async () => {
    const chief = await aSession("chief", ["chief"], marked(undefined));
    const [one, other, third] = panelOf(chief.notebook.book).judges;
    if (!one || !other || !third) throw new Error("three judges");
    chief.show(
      <PanelJudges
        judges={[
          { ...one, pace: { places: 40, medianSeconds: 3, quickShare: 0.6, isHasty: true } },
          { ...other, pace: { places: 40, medianSeconds: 14, quickShare: 0.6, isHasty: false } },
          third,
        ]}
      />,
    );
    expect(screen.getAllByText(/seconds/).map((line) => line.textContent)).toEqual([
      "Marked 24 of 40 techniques less than 5 seconds after the one before, far more than the others.",
    ]);
  });
  it("does not say that nobody stands out where nobody can be told from anybody", async () => {
    await shown(aMarkedDay({ day: aTestDay({ judges: 3, candidates: 5 }) }).entries);
    const next = screen.getByRole("region", { name: "What to do next" });
    expect(next.textContent).toMatch(/Nothing yet: too few candidates/);
    expect(screen.getAllByText(/^Too little to say: 5 candidates were marked/)).toHaveLength(3);
  });
  it("folds the figures away", async () => {
    await shown(marked("judge-2"));
    expect(screen.getByText("The figures").closest("details")?.open).toBe(false);
    expect(screen.getByText(/^ICC\(2,1\): 0?\.?\d/)).toBeTruthy();
  });
  it("shows nothing of marks that are not open", async () => {
    await shown(marked("judge-2", (judge) => judge !== "judge-3"));
    expect(screen.getByText("Nothing to say yet")).toBeTruthy();
    expect(screen.queryByText(/Marks lower/)).toBeNull();
  });
});
