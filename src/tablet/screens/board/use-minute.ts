import { useEffect, useState } from "react";
import { useServices } from "../../session/services.tsx";

/** The wall clock, looked at often enough for “4 min ago”. Milliseconds since 1970. */
export function useMinute(): number {
  const { nowMs } = useServices();
  const [now, setNow] = useState(nowMs);
  useEffect(() => {
    const timer = setInterval(() => setNow(nowMs()), 15_000);
    return () => clearInterval(timer);
  }, [nowMs]);
  return Math.max(now, 0);
}
