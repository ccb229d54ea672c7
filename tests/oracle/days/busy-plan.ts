import type { AnchorId, SectionId } from "../../../src/belt-test/identity.ts";
import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import { RULES } from "../../../src/belt-test/scorebook/rules.ts";
import type { GradingId, PersonId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { shippedLibrary } from "../../../src/hub/routes/shipped-library.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import type { HallPlan, Page, Person } from "../../world/person.ts";
import { busyRubric } from "./busy-rubric.ts";

export const ANCHOR = "anchor-1" as AnchorId;
export const BLOCKS = "blocks" as SectionId;

/** The plan with what is in some plans only: frozen faults, names of the panel, watches by wave, an anchor, earlier tests. */
export function writeBusyPlan(chief: Person, page: Page, { judges, candidates }: HallPlan): void {
  const { dice } = chief;
  const rubric = busyRubric(dice);
  chief.write(page, "opened", { title: "Busy belt test", date: "2026-06-06", rules: RULES });
  chief.write(page, "frozen", { rubric });
  if (dice.falls(0.3)) chief.write(page, "faults-frozen", { library: shippedLibrary() });
  for (const person of judges) chief.write(page, "seated", { person, roles: ["judge"] });
  const isJudge = chief.roles.includes("judge");
  const seat = (person: PersonId, roles: Role[]) => {
    const { ref, record } = chief.text("chief", person, "person");
    chief.write(page, "seated", { person, roles, details: ref }, { sides: [record] });
  };
  seat(chief.name, [...chief.roles]);
  if (dice.falls(0.5)) seat("caller" as PersonId, ["caller"]);
  for (const [index, candidate] of candidates.entries()) {
    const { ref: details, record } = chief.text("desk", candidate, "candidate");
    const given = givenOf(record, `Given-${candidate}`);
    chief.write(
      page,
      "entered",
      { candidate, number: index + 1, rubric: rubric.id, details, given: given.ref },
      { sides: [record, given.record] },
    );
  }
  chief.write(page, "lined-up", { wave: 1, lanes: [...candidates] });
  for (const judge of isJudge ? [...judges, chief.name] : judges)
    for (const { id: section } of rubric.sections)
      chief.write(page, "assigned", {
        judge,
        section,
        candidates: [...candidates],
        ...(dice.falls(0.3) ? { wave: 1 } : {}),
      });
  if (dice.falls(0.5)) {
    const body = { anchor: ANCHOR, rubric: rubric.id, section: BLOCKS, isOpen: true };
    chief.write(page, "anchor-set", body);
  }
  if (dice.falls(0.5)) keepSeverity(chief, page, judges);
  chief.write(page, "started", {});
}

/** What an earlier test left of a judge. */
export function keepSeverity(chief: Person, page: Page, judges: HallPlan["judges"]): void {
  const { dice } = chief;
  const kept = { severity: dice.between(-0.6, 0.6), sd: dice.between(0.1, 0.5) };
  chief.write(page, "severity-kept", {
    judge: dice.pick(judges),
    from: "earlier-test" as GradingId,
    date: "2026-01-10",
    kept: dice.falls(0.1) ? null : kept,
  });
}

/** The given name as a record of its own, beside the one that holds the rest. */
const givenOf = ({ grading, about }: SideRecord, given: string) =>
  makeSideRecord(
    { grading, about, kind: "candidate", body: { given } },
    { random: (bytes) => new Uint8Array(bytes) },
  );
