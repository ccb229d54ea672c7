import type { Page } from "playwright-core";
import { type Hall, PORTRAIT } from "./hall.ts";
import { Caller } from "./people/caller.ts";
import { Chief } from "./people/chief.ts";
import { Desk } from "./people/desk.ts";
import { joins } from "./people/joins.ts";
import { Judge } from "./people/judge.ts";
import { aSmallPlan, CHILDREN, JUDGES } from "./small-test.ts";
import type { told } from "./told.ts";

export interface People {
  chief: Chief;
  caller: Caller;
  desk: Desk;
  judges: [Judge, Judge, Judge];
}

/** The small test, planned and open; its caller, its desk and three judges let in, one of them with the tablet upright. */
export async function gathered(hall: Hall, plan = aSmallPlan()): Promise<People> {
  const chief = new Chief(await hall.tablet("chief"));
  await chief.claims(hall);
  await chief.plans(plan);
  await chief.opensTheTest();
  const code = await chief.opensTheDoor();
  const people = [
    { name: "Noor", role: "Caller" },
    { name: "Ines", role: "Desk" },
    ...JUDGES.map((name) => ({ name, role: "Judge" as const })),
  ] as const;
  const pages = await Promise.all(
    people.map(async ({ name, role }, at) => {
      const page = await hall.tablet(name, at === people.length - 1 ? PORTRAIT : undefined);
      await joins(page, hall, { name, role, code });
      return page;
    }),
  );
  for (const { name } of people) await chief.admits(name);
  const [caller, desk, ...judges] = pages as [Page, Page, Page, Page, Page];
  return {
    chief,
    caller: new Caller(caller),
    desk: new Desk(desk),
    judges: judges.map((page) => new Judge(page)) as People["judges"],
  };
}

export async function everybodyIsHere(
  desk: Desk,
  children: readonly string[] = CHILDREN,
): Promise<void> {
  for (const who of children) await desk.checksIn(who);
}

/** How many entries these judges must have written by now, each on a tablet of their own. */
export const linesOf = (judges: readonly Judge[]): number =>
  judges.reduce((sum, { account }) => sum + account.lines, 0);

/** What the scorebook must say of the judges, entry by entry and in the end: what each tapped, and nothing that nobody tapped. */
export const tapped = (judges: readonly Judge[]): ReturnType<typeof told> =>
  Object.fromEntries(
    judges.map(({ account }, at) => [
      JUDGES[at],
      { entries: account.entries, standing: account.standing },
    ]),
  );
