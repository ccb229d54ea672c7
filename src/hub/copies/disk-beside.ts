import { type ChildProcess, fork } from "node:child_process";
import { fileURLToPath } from "node:url";
import { type CopiesDisk, diskBy } from "./copies-disk.ts";

const script = fileURLToPath(new URL("copies-process.mjs", import.meta.url));

/** A process that nobody asks anything holds tens of megabytes for nothing. Milliseconds. */
const IDLE_AFTER_MS = 30_000;

interface Answer {
  id: number;
  result?: unknown;
  failed?: { code?: string; message: string };
}
interface Waiting {
  give: (result: unknown) => void;
  fail: (error: Error) => void;
}

/**
 * The disk of a hub's copies, asked through a process that is there from a question on until a while after the last: whatever hangs on it hangs that process.
 * Nothing here keeps the hub's own process from ending.
 */
export function diskBeside(idleAfterMs = IDLE_AFTER_MS): { disk: CopiesDisk; close: () => void } {
  const waiting = new Map<number, Waiting>();
  let asked = 0;
  let running: ChildProcess | undefined;
  let idle: NodeJS.Timeout | undefined;
  const letGo = () => {
    clearTimeout(idle);
    if (running?.connected) running.disconnect();
    running = undefined;
  };

  const begin = (): ChildProcess => {
    const child = fork(script, {
      execArgv: [],
      serialization: "advanced",
      // What hangs would keep the hub's own output open, and whoever reads it waiting.
      stdio: ["ignore", "ignore", "ignore", "ipc"],
    });
    child.unref();
    child.channel?.unref();
    child.on("message", (said) => {
      const { id, result, failed } = said as Answer;
      const one = waiting.get(id);
      waiting.delete(id);
      if (failed) one?.fail(Object.assign(new Error(failed.message), { code: failed.code }));
      else one?.give(result);
      if (waiting.size === 0 && running === child) idle = setTimeout(letGo, idleAfterMs).unref();
    });
    const end = (error: Error) => {
      if (running !== child) return;
      running = undefined;
      for (const { fail } of waiting.values()) fail(error);
      waiting.clear();
    };
    child.on("error", end);
    child.on("exit", (code, signal) => end(new Error(`its process ended with ${signal ?? code}`)));
    return child;
  };

  const disk = diskBy(
    (name, said) =>
      new Promise((give, fail) => {
        clearTimeout(idle);
        running ??= begin();
        const id = asked++;
        waiting.set(id, { give, fail });
        running.send({ id, name, said });
      }),
  );
  return { disk, close: letGo };
}
