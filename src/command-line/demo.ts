import { serve } from "./serve.ts";

/** Serves the invented example test from a store that is thrown away afterwards. @returns the exit code. */
export const demo = (args: string[]): Promise<number> => serve(args, true);
