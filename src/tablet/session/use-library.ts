import { useEffect, useState } from "react";
import { FaultLibrary } from "../../core/rubric/fault-library.ts";

let loaded: FaultLibrary | undefined;

/** The school's faults and cues; undefined for the moment until they are loaded. Marking never waits for them. */
export function useLibrary(): FaultLibrary | undefined {
  const [library, setLibrary] = useState(loaded);
  useEffect(() => {
    if (loaded) return;
    void import("../../../scoring-rubrics/faults-and-cues.json").then(({ default: json }) => {
      loaded = FaultLibrary.parse(json);
      setLibrary(loaded);
    });
  }, []);
  return library;
}
