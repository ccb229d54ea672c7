import { useCallback, useEffect, useState } from "react";
import type { Fault } from "../../../book/faults.ts";
import type { DeviceAtDoor } from "../../../line/doors.ts";
import { useNotebook, useServices } from "../../session/services.tsx";

/** Between two looks at the door. Milliseconds. The hub also tells at once when somebody knocks. */
const LOOK_EVERY_MS = 4000;

/** The devices at the hub's door, looked at again and again while the screen is open. */
export function useDoorDevices(): {
  devices: DeviceAtDoor[];
  /** So many rows at the hub cannot be read whole. */
  damaged: number;
  fault: Fault | undefined;
  look: () => Promise<void>;
} {
  const { pass, news } = useNotebook();
  const { hub } = useServices();
  const [devices, setDevices] = useState<DeviceAtDoor[]>([]);
  const [damaged, setDamaged] = useState(0);
  const [fault, setFault] = useState<Fault>();
  const { token, grading } = pass;
  const look = useCallback(async () => {
    if (!token) return;
    const answer = await hub.devices(token, grading);
    if (answer.ok) {
      setDevices(answer.devices);
      setDamaged(answer.damaged ?? 0);
    }
    setFault(answer.ok ? undefined : answer.fault);
  }, [hub, token, grading]);

  const { waiting } = news;
  // biome-ignore lint/correctness/useExhaustiveDependencies: somebody new in `waiting` is the reason to look now.
  useEffect(() => {
    void look();
    const timer = setInterval(() => void look(), LOOK_EVERY_MS);
    return () => clearInterval(timer);
  }, [look, waiting]);
  return { devices, damaged, fault, look };
}
