import { useKeeping } from "../../device/use-keeping.ts";
import { locksWaiting } from "../../session/locks-waiting.ts";
import { useNotebook } from "../../session/services.tsx";

const DAY_MS = 24 * 3_600_000;

/** What this device cannot do just now; null where all is well. */
export function useTroubles() {
  const notebook = useNotebook();
  const { fault, farewell, pass, outbox } = notebook;
  const waiting = locksWaiting(notebook);
  const isWaiting = new Set(waiting.map(({ id }) => id));
  const refused = [...outbox.refused].flatMap(([id, why]) => (isWaiting.has(id) ? [] : [why]));
  const troubles = {
    fault,
    farewell,
    waiting,
    refused,
    damage: notebook.news.damage,
    unread: pass.unread?.length ?? 0,
    isNameless: pass.rosterDroppedAtMs !== undefined,
    // Only the chief can know whether somebody put an older copy back. It stays to be read under “Kept”.
    isParted:
      pass.roles.includes("chief") &&
      pass.partedAtMs !== undefined &&
      notebook.nowMs() - pass.partedAtMs < DAY_MS,
    isRoomLittle: useKeeping()?.isRoomLittle ?? false,
  };
  const isAny = Object.values(troubles).some((one) =>
    Array.isArray(one) ? one.length > 0 : Boolean(one),
  );
  return isAny ? troubles : null;
}
