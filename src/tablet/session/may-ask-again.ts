import type { Notebook } from "./notebook.ts";

/** Whether judges can be asked to look again: by way of a hub, while the test is open. Without one nothing is marked anew; the chief settles. */
export const mayAskAgain = ({ pass, book }: Notebook): boolean =>
  pass.token !== undefined && !book.plan.isClosed;
