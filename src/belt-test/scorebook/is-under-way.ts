import type { Scorebook } from "./scorebook.ts";

/** Whether there is somebody on the floor to be stopped: the chief has opened the test, or it was begun without that. */
export const isUnderWay = ({ plan, floor }: Scorebook): boolean =>
  !plan.isClosed && (plan.isStarted || floor.calls.length > 0);
