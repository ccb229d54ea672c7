import { useEffect, useState } from "react";
import { type Keeping, keepingHere } from "./keeping.ts";

const LOOK_EVERY_MS = 5 * 60_000;

/** How this browser keeps things, looked at now and then; undefined until it is known. */
export function useKeeping(): Keeping | undefined {
  const [keeping, setKeeping] = useState<Keeping>();
  useEffect(() => {
    let isHere = true;
    const look = async () => {
      const found = await keepingHere(navigator.storage);
      if (isHere) setKeeping(found);
    };
    void look();
    const timer = setInterval(() => void look(), LOOK_EVERY_MS);
    return () => {
      isHere = false;
      clearInterval(timer);
    };
  }, []);
  return keeping;
}
