import { useEffect, useState } from "react";

/** Whether something has been so for longer than `ms`; false again the moment it ends. */
export function useLasting(isSo: boolean, ms: number): boolean {
  const [hasLasted, setHasLasted] = useState(false);
  useEffect(() => {
    if (!isSo) return setHasLasted(false);
    const timer = setTimeout(() => setHasLasted(true), ms);
    return () => clearTimeout(timer);
  }, [isSo, ms]);
  return isSo && hasLasted;
}
