import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { PlanHand } from "../../../src/tablet/screens/set-up/plan-hand.ts";
import { anEntryId } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";

const blocks = "blocks" as SectionId;
const one = "candidate-1" as CandidateId;
const [first, successor] = ["judge-1", "judge-9"] as PersonId[];

/** The first judge's places were given to another; in waves, as the screens plan them. */
async function givenAway() {
  const day = aTestDay({ candidates: 2 });
  for (const entry of day.plan)
    if (entry.kind === "assigned") Object.assign(entry.body, { wave: 1 });
  const seated = day.chief.write("seated", { person: successor as PersonId, roles: ["judge"] });
  const gone = day.chief.write("seated", { person: first as PersonId, roles: [] });
  const gives = day.chief.write("judge-replaced", {
    judge: first as PersonId,
    by: successor as PersonId,
  });
  const lines = [...day.plan, seated, gives, gone] as AnyEntry[];
  const { notebook } = await aSession("chief", ["chief"], lines);
  const hand = new PlanHand(notebook, {
    makeId: anEntryId,
    random: (bytes) => new Uint8Array(bytes),
  });
  return { notebook, hand };
}

// Strangers' chiefs took such a judge out, or moved a child: the marks waited for somebody whom no page named.
describe("[S278] who has another's places", () => {
  it("is taken off them when taken out", async () => {
    const { notebook, hand } = await givenAway();
    const seat = notebook.book.plan.seat(successor as PersonId);
    if (!seat) throw new Error("no seat");
    expect(notebook.book.panel.judgesOf(one, blocks)).toContain(successor);
    await hand.reseat(seat, []);
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual(["judge-2", "judge-3"]);
  });

  it("stays behind when a child goes to another wave", async () => {
    const { notebook, hand } = await givenAway();
    await hand.move(one, 2);
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual([]);
    expect(notebook.book.plan.lanes(2)).toEqual([one]);
  });
});

it("[Y230] leaves nobody in a place of a plan that was suggested anew, whoever had it first", async () => {
  const { notebook, hand } = await givenAway();
  const judges = ["judge-2", "judge-3"] as PersonId[];
  const lanes = [...notebook.book.plan.lanes(1)];
  await hand.take([{ wave: 1, lanes, watches: new Map(judges.map((judge) => [judge, lanes])) }]);
  expect(notebook.book.panel.judgesOf(one, blocks)).toEqual(judges);
});

describe("[S280] who came back and has another's places", () => {
  // A stranger's judge who was to be asked for the marks of a child was asked for nothing: the place went along.
  it("gives those alone away, and not what another has of theirs by now", async () => {
    const { notebook, hand } = await givenAway();
    const [third, fourth] = ["judge-3", "judge-10"] as PersonId[];
    await notebook.write("seated", { person: first as PersonId, roles: ["judge"] });
    await hand.giveOver(seatOf(third as PersonId), first as PersonId);
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual(["judge-1", "judge-2", "judge-9"]);
    await notebook.write("seated", { person: fourth as PersonId, roles: ["judge"] });
    await hand.giveOver(seatOf(first as PersonId), fourth as PersonId);
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual(["judge-10", "judge-2", "judge-9"]);

    function seatOf(person: PersonId) {
      const seat = notebook.book.plan.seat(person);
      if (!seat) throw new Error(`no seat of ${person}`);
      return seat;
    }
  });
});
