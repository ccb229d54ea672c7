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
      const kinds = new Set(rows.map(({ entry }) => entry.kind));
      const newest = rows
        .filter(({ entry }) => entry.kind === "opened")
        .sort((a, b) => b.entry.lamport - a.entry.lamport)[0];
      const opened = newest?.entry.body as
        | { title?: string; date?: string; example?: boolean }
        | undefined;
      return {
        pass,
        state: !pass.person
          ? "waiting"
          : kinds.has("closed")
            ? "closed"
            : kinds.has("started")
              ? "running"
              : "planning",
        title: opened?.title ?? pass.title ?? "",
        date: opened?.date,
        isExample: opened?.example === true,
        unsent: unsent.length,
      };
    }),
  );
}
