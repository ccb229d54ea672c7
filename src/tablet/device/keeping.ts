/** Below this a browser may soon refuse to keep anything. A whole test's lines take about a tenth of it. Bytes. */
const LITTLE_BYTES = 20_000_000;

/** How this browser keeps what is written here. `undefined`: it does not tell, as on a line that is not encrypted. */
export interface Keeping {
  /** Until a person removes it; otherwise the browser may clear it when its disk fills up. */
  isForGood: boolean | undefined;
  roomBytes: number | undefined;
  isRoomLittle: boolean;
}

export async function keepingHere(storage: StorageManager | undefined): Promise<Keeping> {
  const [isForGood, estimate] = await Promise.all([
    storage?.persisted?.().catch(() => undefined),
    storage?.estimate?.().catch(() => undefined),
  ]);
  const roomBytes =
    estimate?.quota === undefined ? undefined : estimate.quota - (estimate.usage ?? 0);
  return {
    isForGood,
    roomBytes,
    isRoomLittle: roomBytes !== undefined && roomBytes < LITTLE_BYTES,
  };
}

/** Asks for storage that the browser does not clear by itself; some ask the person. Nothing depends on the answer. */
export async function askToKeep(storage: StorageManager | undefined): Promise<void> {
  const isForGood = await storage?.persisted?.().catch(() => false);
  if (isForGood === false) await storage?.persist?.().catch(() => false);
}
