import { HeldBox } from "../../src/hub/seals/held-box.ts";

/** Where a hub of the tests shuts away what it held. It has its key again after every start, and with every copy. */
export const aBox = (): HeldBox => new HeldBox("the hub's own key");
