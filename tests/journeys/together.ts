import type { Page } from "playwright-core";
import type { Hall } from "./hall.ts";
import { Caller } from "./people/caller.ts";
import { Chief } from "./people/chief.ts";
import { joins } from "./people/joins.ts";
import { Judge } from "./people/judge.ts";
import { aSmallPlan, JUDGES } from "./small-test.ts";

/** The small test, planned and open, its caller and three judges let in. */
export async function gathered(
  hall: Hall,
): Promise<{ chief: Chief; caller: Caller; judges: Judge[] }> {
  const chief = new Chief(await hall.tablet("chief"));
  await chief.claims(hall);
  await chief.plans(aSmallPlan());
  await chief.opensTheTest();
  const code = await chief.opensTheDoor();
  const pages: Page[] = [];
  for (const whose of ["Noor", ...JUDGES]) pages.push(await hall.tablet(whose));
  const people = [
    { name: "Noor", role: "Caller" as const },
    ...JUDGES.map((name) => ({ name, role: "Judge" as const })),
  ];
  await Promise.all(
    people.map((person, at) => joins(pages[at] as Page, hall, { ...person, code })),
  );
  for (const { name } of people) await chief.admits(name);
  const [first, ...others] = pages as [Page, ...Page[]];
  return { chief, caller: new Caller(first), judges: others.map((page) => new Judge(page)) };
}
