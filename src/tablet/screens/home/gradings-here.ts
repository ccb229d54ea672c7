import { titlePage } from "../../../belt-test/scorebook/title-page.ts";
import type { Pass, TabletStore } from "../../../ports/tablet-store.ts";

type GradingState = "waiting" | "planning" | "running" | "closed";
/** A grading this device has a pass for. */
export interface GradingHere {
  pass: Pass;
  state: GradingState;
  title: string;
  date: string | undefined;
  isExample: boolean;
  /** Own lines that no hub has. */
  unsent: number;
}

/** The gradings of this device, the one used last first. Reads what is needed and folds nothing: this is the first page. */
export async function gradingsHere(store: TabletStore): Promise<GradingHere[]> {
  const passes = (await store.passes()).sort((a, b) => b.lastContactMs - a.lastContactMs);
  return Promise.all(
    passes.map(async (pass): Promise<GradingHere> => {
      const [rows, { entries: unsent }] = await Promise.all([
        store.read(pass.grading, 0),
        store.outbox(pass.grading),
      ]);
      const { title, date, isExample, state } = titlePage(rows.map(({ entry }) => entry));
      return {
        pass,
        state: pass.person ? state : "waiting",
        title: title ?? pass.title ?? "",
        date,
        isExample,
        unsent: unsent.length,
      };
    }),
  );
}
