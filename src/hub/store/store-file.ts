import { join } from "node:path";

/** Where a hub's database lies in its data folder. */
export const storeFile = (dataFolder: string): string => join(dataFolder, "evenhand.sqlite");
