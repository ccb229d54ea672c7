import { useEffect, useState } from "react";
import { FaultLibrary } from "../../belt-test/rubric/fault-library.ts";
import { useNotebook } from "./services.tsx";

let loaded: FaultLibrary | undefined;

/** The library that comes with this version of the app. */
export async function shippedLibrary(): Promise<FaultLibrary> {
  const { default: json } = await import("../../../scoring-rubrics/faults-and-cues.json");
  return (loaded ??= FaultLibrary.parse(json));
}

/**
 * The school's faults and cues as they were frozen with this test; for a test from before that was done, those of the app.
 * Undefined for the moment until they are loaded. Marking never waits for them.
 */
export function useLibrary(): FaultLibrary | undefined {
  const frozen = useNotebook().book.plan.library;
  const [shipped, setShipped] = useState(loaded);
  const isNeeded = !frozen && !shipped;
  useEffect(() => {
    if (isNeeded) void shippedLibrary().then(setShipped);
  }, [isNeeded]);
  return frozen ?? shipped;
}
